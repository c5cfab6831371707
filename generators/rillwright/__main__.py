"""`python -m rillwright`: the same words as the command `rillwright`."""

from __future__ import annotations

import sys

try:
    from .cli import main

    code = main()
except KeyboardInterrupt:  # before there was anybody to say so
    code = 130
sys.exit(code)
