"""The report's one file: document, picture data, style and script in it; nothing is fetched."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from .markup import Markup, el, raw

VIEWER = Path(__file__).parent / "viewer"


@lru_cache(maxsize=4)
def _file(name: str) -> str:
    return (VIEWER / name).read_text(encoding="utf-8").strip()


def page(title: str, document: Markup, facts: dict[str, Any], model: bytes) -> str:
    """The whole file. `facts` is what the viewer's script reads, `model` the GLB."""
    style, script = _file("style.css"), _file("viewer.min.js").replace("</script", "<\\/script")
    allowed = (
        f"default-src 'none'; img-src data:; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=allowed),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", title),
        el("style", raw(style)),
    )
    packed = base64.b64encode(gzip.compress(model, 6, mtime=0)).decode()
    data = [
        el("script", raw(_safe_json(facts)), type="application/json", id="facts"),
        el("script", raw(packed), type="application/gzip", id="model"),
        el("script", raw(script)),
    ]
    return f"<!doctype html>\n{el('html', head, el('body', document, data), lang='en')}\n"


def _safe_json(facts: dict[str, Any]) -> str:
    """JSON that no name in it can end: `<` only ever as an escape."""
    told = json.dumps(facts, separators=(",", ":"), ensure_ascii=False, allow_nan=False, sort_keys=True)
    return told.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _hash(inline: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(inline.encode()).digest()).decode()
