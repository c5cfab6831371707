"""Exit codes, and what each means."""

from __future__ import annotations

HOLDS, FAILED, UNUSABLE, IMPOSSIBLE, STOPPED, UNHEARD = 0, 1, 2, 3, 130, 141

MEANINGS = """\
exit codes:
  0    all checks hold
  1    a check failed; the files are written all the same, marked as failed
  2    a file or the command line cannot be used, or results cannot be written where they should go
  3    the geometry could not be made, or the program itself is at fault
  130  stopped by Ctrl-C (143, 129: told to end); no folder of results is left half written
  141  whatever read the output went away before the end
With several files the rest is done even if one fails, and the largest code is returned.
"""
