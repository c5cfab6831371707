"""The revision on the paper: a hash of the parameters, so that paper and file can be told to belong together."""

from __future__ import annotations

import hashlib
import json

from ...spec.job import Job


def revision(job: Job) -> str:
    """First 8 hex digits of SHA-256 over all parameters, defaults included."""
    told = json.dumps(job.model_dump(mode="json", by_alias=True, warnings=False), sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:8]
