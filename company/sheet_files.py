"""The files that printed sheets may hold: our own static files and the pictures of a company."""

from __future__ import annotations

import io
import mimetypes
from functools import lru_cache
from pathlib import Path
from urllib.parse import quote, unquote, urlsplit
from urllib.request import url2pathname

from django.conf import settings
from django.contrib.staticfiles import finders
from PIL import Image

# Sheets name their files by addresses under a host that by RFC 2606 can never exist: whoever
# fetches one gets the file behind it, and no page of the web is ever asked for.
HOST = "sheet.invalid"
BASE = f"http://{HOST}/"
STYLE = f"{BASE}static/company/css/sheet.css"
TIGHT_STYLE = f"{BASE}static/company/css/sheet-tight.css"
# The largest picture on a sheet is 72 mm high, where this is 350 dots an inch.
LONGEST_SIDE_PX = 1000
PICTURES_KEPT = 64


def media_address(name: str) -> str:
    """The address by which a sheet names an uploaded file.

    >>> media_address("photos/one two.jpg")
    'http://sheet.invalid/media/photos/one%20two.jpg'
    """
    return f"{BASE}media/{quote(name)}"


def find_own_file(url: str) -> Path | None:
    """The file behind a sheet's address, or None where it is not one of our own.

    >>> find_own_file("https://example.org/x.png") is None
    True
    """
    try:
        parts = urlsplit(url)
    except ValueError:
        return None
    if parts.scheme != "http" or parts.netloc != HOST:
        return None
    name = url2pathname(unquote(parts.path)).lstrip("/")
    if "\0" in name:
        return None
    if name.startswith("static/"):
        return _find_static(name.removeprefix("static/"))
    if name.startswith("media/"):
        return _inside(Path(settings.MEDIA_ROOT), name.removeprefix("media/"))
    return None


def has_media(name: str) -> bool:
    """Whether an uploaded file is still on the shelf."""
    return bool(name) and _inside(Path(settings.MEDIA_ROOT), name) is not None


def read_own_file(url: str) -> tuple[bytes, str] | None:
    """The bytes behind a sheet's address and what they are; None where it is not our own.

    Uploaded pictures are made as small as paper allows, so that a pack of photographs can still
    be sent by mail; with `?whole` at its end the address means all of it, for a drawing that is
    printed as large as it was made.
    """
    path = find_own_file(url)
    if path is None:
        return None
    if urlsplit(url).query != "whole" and path.is_relative_to(Path(settings.MEDIA_ROOT).resolve()):
        return _fit_for_paper(path, path.stat().st_mtime_ns)
    return path.read_bytes(), mimetypes.guess_type(path.name)[0] or "application/octet-stream"


def _find_static(name: str) -> Path | None:
    try:
        found = finders.find(name)
    except Exception:  # a name that tries to climb out of the folder
        return None
    return Path(found) if found else _inside(Path(settings.STATIC_ROOT), name)


def _inside(root: Path, name: str) -> Path | None:
    path = (root / name).resolve()
    return path if path.is_relative_to(root.resolve()) and path.is_file() else None


@lru_cache(maxsize=PICTURES_KEPT)
def _fit_for_paper(path: Path, changed_ns: int) -> tuple[bytes, str]:
    """An uploaded picture at paper size; `changed_ns` tells an overwritten file from the old."""
    with Image.open(path) as image:
        kind = Image.MIME.get(image.format or "", "application/octet-stream")
        if max(image.size) <= LONGEST_SIDE_PX:
            return path.read_bytes(), kind
        is_drawing = image.format == "PNG"
        image.draft(None, (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        small = image.convert("RGBA" if "A" in image.getbands() else "RGB")
        small.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    if is_drawing:
        small.save(out, "PNG")
        return out.getvalue(), "image/png"
    small.convert("RGB").save(out, "JPEG", quality=82)
    return out.getvalue(), "image/jpeg"
