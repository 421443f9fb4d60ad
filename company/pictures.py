"""Pictures that people send: read with care, turned upright, stripped, and written anew.

Nothing of an upload is kept but its pixels. What is stored was encoded here, so that neither a
position nor a script hidden in the file can travel on.
"""

from __future__ import annotations

import io
import secrets
from dataclasses import dataclass
from typing import IO

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404
from PIL import Image, ImageCms, ImageFile, ImageOps

LARGEST_MB = 20
LARGEST_BYTES = LARGEST_MB * 1024 * 1024
MOST_PIXELS = 64_000_000  # 240 MB while it is open: more would starve a small machine
LONGEST_SIDE_PX = 3600  # fills A4 at 300 dots an inch
LARGEST_DRAWING_BYTES = 4 * 1024 * 1024  # a PNG beyond this is a photograph
FORMATS = ("PNG", "JPEG", "WEBP")
CONTENT_TYPES = {"jpg": "image/jpeg", "png": "image/png"}
ACCEPT = ".png,.jpg,.jpeg,.webp,image/png,image/jpeg,image/webp"

_SRGB = ImageCms.createProfile("sRGB")


class PictureRefused(ValueError):
    """The upload is not kept; the message says why and what to do."""


@dataclass(frozen=True)
class Picture:
    """A picture made safe: its bytes, the ending of its file name, and its size in pixels."""

    data: bytes
    ending: str
    width_px: int
    height_px: int

    def new_name(self) -> str:
        """A file name that nobody can guess and that tells nothing."""
        return f"{secrets.token_hex(16)}.{self.ending}"


def read_picture(upload: IO[bytes], size: int) -> Picture:
    """The picture in `upload`, `size` bytes long, safe to keep and to serve.

    Drawings (PNG, or WebP with see-through parts) stay lossless; photographs become JPEG. Raises
    PictureRefused with a sentence where it is too large, damaged, or no picture at all.
    """
    if size > LARGEST_BYTES:
        raise PictureRefused(
            f"The picture has {size / 1024 / 1024:.0f} MB; at most {LARGEST_MB} MB. "
            "Save it smaller, or take the photo at a lower setting."
        )
    if size == 0:
        raise PictureRefused("The file is empty. Choose the picture again.")
    try:
        upload.seek(0)
        # WeasyPrint, once imported, has Pillow take half a picture for a whole one.
        ImageFile.LOAD_TRUNCATED_IMAGES = False
        with Image.open(upload, formats=FORMATS) as image:
            if image.width * image.height > MOST_PIXELS:
                raise PictureRefused(_too_many_pixels(image))
            return _write(_straighten(image), is_drawing=_is_drawing(image))
    except PictureRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PictureRefused(_too_many_pixels(None)) from error
    except Exception as error:
        # A decoder fed with strangers' bytes can raise anything; all of it means the same.
        raise PictureRefused(
            "This is not a whole PNG, JPEG or WebP picture. Open it, save it as one of these, "
            "and send that."
        ) from error


def _straighten(image: Image.Image) -> Image.Image:
    """Decoded, upright, at most LONGEST_SIDE_PX, in sRGB or grey, with nothing but its pixels."""
    profile = image.info.get("icc_profile")
    # JPEG can be decoded at a half or a quarter straight away: a 50 MP photo costs an eighth.
    image.draft(None, (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    image.load()
    straight = ImageOps.exif_transpose(image)
    straight = _eight_bits(straight)
    straight.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), Image.Resampling.LANCZOS)
    if profile and straight.mode in ("RGB", "RGBA"):
        straight = _in_srgb(straight, profile)
    bare = Image.new(straight.mode, straight.size)
    bare.paste(straight)
    return bare


def _eight_bits(image: Image.Image) -> Image.Image:
    """In a mode that both PNG and JPEG know: grey, RGB, or RGBA where parts are see-through."""
    if image.mode.startswith(("I", "F")):
        image = image.convert("I").point(lambda value: value / 256).convert("L")
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        return image.convert("RGBA")
    return image.convert("L" if image.mode in ("1", "L") else "RGB")


def _in_srgb(image: Image.Image, profile: bytes) -> Image.Image:
    """Colours as they were meant; a profile that cannot be read is left out."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(image, source, _SRGB, outputMode=image.mode)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return turned or image


def _is_drawing(image: Image.Image) -> bool:
    return image.format == "PNG" or (image.format == "WEBP" and image.mode == "RGBA")


def _write(image: Image.Image, *, is_drawing: bool) -> Picture:
    if is_drawing:
        out = io.BytesIO()
        image.save(out, "PNG", optimize=image.width * image.height < 4_000_000)
        if image.mode == "RGBA" or out.tell() <= LARGEST_DRAWING_BYTES:
            return Picture(out.getvalue(), "png", image.width, image.height)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=88, progressive=True)
    return Picture(out.getvalue(), "jpg", image.width, image.height)


def _too_many_pixels(image: Image.Image | None) -> str:
    has = f"It has {image.width} x {image.height} points. " if image else ""
    return (
        f"The picture is too large to open: {has}At most {MOST_PIXELS // 1_000_000} million "
        "points. Save it smaller."
    )


def serve_picture(file: FieldFile) -> FileResponse:
    """A kept picture as an answer for one person alone. Http404 where its file is gone."""
    try:
        content = file.open("rb")
    except FileNotFoundError as missing:
        raise Http404("The picture is missing from the shelf.") from missing
    ending = (file.name or "").rpartition(".")[2]
    return FileResponse(
        content,
        content_type=CONTENT_TYPES.get(ending, "application/octet-stream"),
        headers={
            "Cache-Control": "private, max-age=86400",
            "X-Content-Type-Options": "nosniff",
            "Content-Security-Policy": "default-src 'none'",
        },
    )
