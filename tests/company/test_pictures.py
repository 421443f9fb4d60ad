"""Pictures that people send: only pixels are kept, upright, in a safe form; the rest is refused."""

from __future__ import annotations

import io
import random
import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageFile, PngImagePlugin

from company.pictures import (
    LARGEST_BYTES,
    LONGEST_SIDE_PX,
    MOST_PIXELS,
    PictureRefused,
    read_picture,
)

ORIENTATION, GPS, MAKE = 0x0112, 0x8825, 0x010F
SECRET = b"Jory Tarrow lives at the pier"


def encode(image, form="PNG", **more):
    out = io.BytesIO()
    image.save(out, form, **more)
    return out.getvalue()


def read(data):
    return read_picture(io.BytesIO(data), len(data))


def reopen(picture):
    image = Image.open(io.BytesIO(picture.data))
    image.load()
    return image


def two_tone(mode="RGB", size=(40, 20)):
    """Left half black, right half white: which way is up can be told."""
    image = Image.new(mode, size)
    white = {"L": 255, "RGB": (255, 255, 255), "RGBA": (255, 255, 255, 255)}[mode]
    image.paste(white, (size[0] // 2, 0, *size))
    return image


def with_position(orientation=1):
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKE] = SECRET.decode()
    exif.get_ifd(GPS)[2] = (54.0, 1.0, 2.0)
    return exif


@pytest.mark.parametrize(("form", "ending"), [("PNG", "png"), ("JPEG", "jpg"), ("WEBP", "jpg")])
def test_each_form_is_read_and_written_anew(form, ending):
    picture = read(encode(two_tone(), form))

    assert picture.ending == ending
    assert (picture.width_px, picture.height_px) == (40, 20)
    assert reopen(picture).size == (40, 20)


def test_drawing_stays_lossless_and_see_through_parts_stay():
    drawing = two_tone("RGBA")
    drawing.putpixel((3, 3), (10, 20, 30, 40))

    for form in ("PNG", "WEBP"):
        picture = read(
            encode(drawing, form, **({"lossless": True, "exact": True} if form == "WEBP" else {}))
        )
        assert picture.ending == "png"
        assert reopen(picture).getpixel((3, 3)) == (10, 20, 30, 40)


@pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP"])
def test_position_and_every_other_word_is_gone(form):
    picture = read(encode(two_tone(), form, exif=with_position().tobytes()))

    image = reopen(picture)
    assert not image.getexif()
    assert SECRET not in picture.data
    assert not {"exif", "icc_profile", "comment", "xmp"} & image.info.keys()


def test_text_in_a_png_and_bytes_after_its_end_are_gone():
    words = PngImagePlugin.PngInfo()
    words.add_text("Comment", SECRET.decode())
    data = encode(two_tone(), "PNG", pnginfo=words) + b"<script>alert(1)</script>" + SECRET

    picture = read(data)

    assert SECRET not in picture.data
    assert b"<script>" not in picture.data


@pytest.mark.parametrize(
    ("orientation", "size", "white_at"),
    [
        (1, (40, 20), (35, 10)),
        (3, (40, 20), (5, 10)),
        (6, (20, 40), (10, 35)),
        (8, (20, 40), (10, 5)),
    ],
)
def test_picture_is_turned_upright(orientation, size, white_at):
    """Orientation 3, 6, 8: turned by 180, 90 and 270 degrees (Exif 2.32, CIPA DC-008, tag 274)."""
    data = encode(two_tone(), "JPEG", quality=95, exif=with_position(orientation).tobytes())

    image = reopen(read(data))

    assert image.size == size
    assert image.convert("L").getpixel(white_at) > 200


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_mode_of_a_png_is_read(mode):
    image = Image.new(mode, (8, 8))

    assert read(encode(image)).width_px == 8


def test_sixteen_bits_keep_their_grey():
    image = Image.new("I;16", (8, 8), 0x8000)

    assert abs(reopen(read(encode(image))).convert("L").getpixel((4, 4)) - 128) <= 1


def test_print_colours_become_screen_colours():
    picture = read(encode(Image.new("CMYK", (8, 8), (0, 0, 0, 0)), "JPEG"))

    assert reopen(picture).mode == "RGB"
    assert min(reopen(picture).getpixel((4, 4))) > 240


def test_colours_of_a_profile_are_kept_when_it_goes():
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = encode(Image.new("RGB", (8, 8), (200, 30, 60)), icc_profile=profile)

    picture = read(data)

    assert "icc_profile" not in reopen(picture).info
    pixel = reopen(picture).getpixel((4, 4))
    assert all(abs(a - b) <= 2 for a, b in zip(pixel, (200, 30, 60), strict=True))


def test_broken_profile_is_left_out():
    data = encode(two_tone(), icc_profile=b"no profile at all")

    assert read(data).width_px == 40


def test_only_the_first_of_moving_pictures_is_kept():
    frames = [Image.new("RGB", (8, 8), (n * 80, 0, 0)) for n in range(3)]
    data = encode(frames[0], "PNG", save_all=True, append_images=frames[1:])

    assert getattr(reopen(read(data)), "n_frames", 1) == 1


def test_large_picture_is_made_to_fit_a_sheet():
    picture = read(encode(Image.new("L", (5000, 2500)), "JPEG"))

    assert (picture.width_px, picture.height_px) == (LONGEST_SIDE_PX, LONGEST_SIDE_PX // 2)


def test_photograph_sent_as_png_becomes_a_jpeg():
    noise = random.Random(4).randbytes(1600 * 1200 * 3)
    picture = read(encode(Image.frombytes("RGB", (1600, 1200), noise), compress_level=1))

    assert picture.ending == "jpg"
    assert len(picture.data) < 4 * 1024 * 1024


def test_names_cannot_be_guessed():
    picture = read(encode(two_tone()))

    names = {picture.new_name() for _ in range(100)}
    assert len(names) == 100
    assert all(len(name) == 36 and name.endswith(".png") for name in names)


# What is refused


def png_claiming(width, height):
    """A tiny file that says it is a huge picture."""

    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    body = zlib.compress(b"\0" * 100)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "size", [(8001, 8001), (12_000, 10_000), (60_000, 60_000), (2**31 - 1, 2**31 - 1)]
)
def test_picture_with_too_many_points_is_refused_unopened(size):
    assert size[0] * size[1] > MOST_PIXELS

    with pytest.raises(PictureRefused, match="too large to open|not a whole"):
        read(png_claiming(*size))


@pytest.mark.parametrize(
    "data",
    [
        b"<!doctype html><script>alert(1)</script>",
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"GIF89a" + b"\0" * 50,
        b"%PDF-1.7",
        b"\x89PNG\r\n\x1a\n",
        b"\xff\xd8\xff\xe0",
        b"RIFF\0\0\0\0WEBP",
        b"\0" * 1000,
        b"BM" + b"\0" * 200,
    ],
    ids=["html", "svg", "gif", "pdf", "png head", "jpeg head", "webp head", "noughts", "bmp"],
)
def test_what_is_no_picture_is_refused(data):
    with pytest.raises(PictureRefused, match="not a whole PNG, JPEG or WebP"):
        read(data)


def test_picture_of_another_form_is_refused():
    for form in ("GIF", "BMP", "TIFF", "ICO"):
        with pytest.raises(PictureRefused):
            read(encode(two_tone(), form))


@pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP"])
def test_half_a_picture_is_refused(form):
    noise = Image.frombytes("RGB", (64, 64), random.Random(1).randbytes(64 * 64 * 3))
    data = encode(noise, form)

    with pytest.raises(PictureRefused, match="not a whole"):
        read(data[: len(data) // 2])


def test_half_a_picture_is_refused_whatever_the_printing_library_set(monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    data = encode(Image.new("RGB", (64, 64)), "PNG")

    with pytest.raises(PictureRefused, match="not a whole"):
        read(data[: len(data) // 2])


def test_too_many_bytes_are_refused_unread():
    with pytest.raises(PictureRefused, match="25 MB; at most 20 MB"):
        read_picture(io.BytesIO(b""), 25 * 1024 * 1024)
    with pytest.raises(PictureRefused):
        read_picture(io.BytesIO(b""), LARGEST_BYTES + 1)


def test_empty_file_is_refused():
    with pytest.raises(PictureRefused, match="empty"):
        read(b"")


@given(st.binary(max_size=400), st.sampled_from([b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"]))
def test_rubbish_is_refused_in_words(data, head):
    with pytest.raises(PictureRefused):
        read(head + data)


@given(st.data())
def test_picture_with_a_byte_changed_is_read_or_refused(data):
    whole = bytearray(encode(two_tone(), data.draw(st.sampled_from(["PNG", "JPEG", "WEBP"]))))
    place = data.draw(st.integers(0, len(whole) - 1))
    whole[place] ^= data.draw(st.integers(1, 255))

    try:
        picture = read(bytes(whole))
    except PictureRefused:
        return
    assert reopen(picture).size == (picture.width_px, picture.height_px)
