"""Pictures and PDF pages as underlays: what comes out of good files, bad ones and hostile ones.

Pictures are made with Pillow and PDFs with PyMuPDF, whose own renderer is the second opinion.
"""

import io
import math
import os
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pymupdf
import pytest
from PIL import Image, ImageDraw

from pathproof.plans.picture import (
    LARGEST_PX,
    MOST_PAGES,
    Picture,
    Scaling,
    read_picture,
    read_picture_apart,
    scaled,
    stored_pixels,
    with_ruler,
)
from pathproof.terms import PlanError, UnderlayKind

PERSON = "Petronella Probst"


def drawn(mode: str = "RGB", size: tuple[int, int] = (400, 300)) -> Image.Image:
    """White paper with a black square in its upper left quarter."""
    image = Image.new("RGB", size, "white")
    ImageDraw.Draw(image).rectangle((0, 0, size[0] // 2 - 1, size[1] // 2 - 1), fill="black")
    return image.convert(mode)


def pixels(picture: Picture) -> Any:
    """Grey levels by row and column."""
    return np.asarray(Image.open(io.BytesIO(picture.png)).convert("L"))


def quarters(picture: Picture) -> list[int]:
    """Grey level in the middle of the upper left, upper right, lower left, lower right quarter."""
    grey = pixels(picture)
    rows, columns = (n // 4 for n in grey.shape)
    return [int(grey[r, c]) for r in (rows, 3 * rows) for c in (columns, 3 * columns)]


@pytest.fixture
def save(tmp_path: Path) -> Callable[..., Path]:
    def save(image: Image.Image, name: str = "plan.png", **options: Any) -> Path:
        path = tmp_path / name
        image.save(path, **options)
        return path

    return save


@pytest.fixture
def pdf(tmp_path: Path) -> Callable[..., Path]:
    """An A4 landscape plan: a rectangle of 200 x 100 mm, its lower left corner at 40, 50 mm."""

    def pdf(pages: int = 1, *, size: tuple[float, float] = (842.0, 595.0), **saving: Any) -> Path:
        document = pymupdf.open()
        for _ in range(pages):
            page = document.new_page(width=size[0], height=size[1])
            mm = 72 / 25.4
            box = pymupdf.Rect(40 * mm, size[1] - 150 * mm, 240 * mm, size[1] - 50 * mm)
            page.draw_rect(box, color=(0, 0, 0), width=2)
        document.set_metadata({"author": PERSON, "title": PERSON})
        path = tmp_path / "plan.pdf"
        document.save(path, **saving)
        return path

    return pdf


# What good files give


@pytest.mark.parametrize(
    ("mode", "name"),
    [
        ("RGB", "a.png"),
        ("RGB", "a.jpg"),
        ("L", "a.jpg"),
        ("CMYK", "a.jpg"),
        ("CMYK", "a.tif"),
        ("1", "a.tif"),
        ("1", "a.png"),
        ("P", "a.gif"),
        ("P", "a.png"),
        ("RGB", "a.bmp"),
        ("RGB", "a.webp"),
        ("LA", "a.png"),
        ("RGBA", "a.png"),
        ("LAB", "a.tif"),
        ("YCbCr", "a.jpg"),
    ],
)
def test_every_kind_of_picture_looks_the_same(
    save: Callable[..., Path], mode: str, name: str
) -> None:
    picture = read_picture(save(drawn(mode), name))
    assert (picture.width_px, picture.height_px) == (400, 300)
    assert (picture.kind, picture.page, picture.notes) == (UnderlayKind.PICTURE, None, ())
    assert quarters(picture) == pytest.approx([0, 255, 255, 255], abs=3)


@pytest.mark.parametrize(("kind", "top"), [(np.uint16, 4095), (np.int32, 70_000), (np.float32, 1)])
def test_deep_grey_keeps_black_and_white(save: Callable[..., Path], kind: type, top: float) -> None:
    grey = (np.asarray(drawn("L")) / 255 * top).astype(kind)
    assert quarters(read_picture(save(Image.fromarray(grey), "a.tif"))) == [0, 255, 255, 255]


def test_a_blank_deep_grey_picture_is_white(save: Callable[..., Path]) -> None:
    blank = Image.fromarray(np.full((300, 400), 7, np.uint16))
    assert quarters(read_picture(save(blank, "a.tif"))) == [255] * 4


def test_what_is_transparent_is_white_paper(save: Callable[..., Path]) -> None:
    image = drawn("RGBA")
    image.putalpha(Image.new("L", image.size, 0))
    assert quarters(read_picture(save(image))) == [255] * 4
    palette = drawn("P")
    path = save(palette, "b.png", transparency=palette.getpixel((10, 10)))
    assert quarters(read_picture(path)) == [255] * 4


# Exif 2.3, tag 0x0112: where the stored row 0 and column 0 are to be shown.
@pytest.mark.parametrize(
    ("orientation", "black", "size"),
    [
        (1, 0, (400, 300)),  # top, left
        (2, 1, (400, 300)),  # top, right
        (3, 3, (400, 300)),  # bottom, right
        (4, 2, (400, 300)),  # bottom, left
        (6, 1, (300, 400)),  # right, top
        (8, 2, (300, 400)),  # left, bottom
    ],
)
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "I;16"])
def test_the_camera_held_any_way_gives_an_upright_plan(
    save: Callable[..., Path], orientation: int, black: int, size: tuple[int, int], mode: str
) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    image = drawn("L" if mode == "I;16" else mode)
    if mode == "I;16":
        image = Image.fromarray(np.asarray(image).astype(np.uint16) * 257)
    picture = read_picture(save(image, exif=exif))
    assert (picture.width_px, picture.height_px) == size
    assert quarters(picture) == [0 if i == black else 255 for i in range(4)]


def test_the_first_of_moving_pictures_is_taken_and_it_says_so(save: Callable[..., Path]) -> None:
    second = Image.new("RGB", (400, 300), "black")
    picture = read_picture(save(drawn(), "a.gif", save_all=True, append_images=[second]))
    assert quarters(picture) == [0, 255, 255, 255]
    assert picture.notes == ("It moves; its first picture was taken.",)


def test_a_page_of_a_scan_of_several(save: Callable[..., Path]) -> None:
    second = Image.new("RGB", (200, 500), "black")
    path = save(drawn(), "a.tif", save_all=True, append_images=[second])
    picture = read_picture(path, 2)
    assert (picture.width_px, picture.height_px, picture.page) == (200, 500, 2)
    with pytest.raises(PlanError, match=r"has 2 pages. Say which one .* 1 to 2"):
        read_picture(path)
    with pytest.raises(PlanError, match="has no page 3; allowed: 1 to 2"):
        read_picture(path, 3)


@pytest.mark.parametrize("name", ["a.jpg", "a.png"])
def test_a_large_one_is_scaled_down_and_says_so(save: Callable[..., Path], name: str) -> None:
    picture = read_picture(save(drawn("L", (9000, 3000)), name))
    assert (picture.width_px, picture.height_px) == (LARGEST_PX, 1333)
    assert quarters(picture) == [0, 255, 255, 255]
    assert picture.notes == ("Scaled down to 4000 pixels on its longer side.",)


def test_nothing_but_pixels_is_kept(save: Callable[..., Path]) -> None:
    exif = Image.Exif()
    exif[0x013B] = PERSON  # artist
    path = save(drawn(), "a.jpg", exif=exif, icc_profile=b"profile of " * 20, comment=PERSON)
    assert PERSON.encode() in path.read_bytes()
    png = read_picture(path).png
    assert chunks(png) == {b"IHDR", b"IDAT", b"IEND"}


def chunks(png: bytes) -> set[bytes]:
    """Names of the chunks of a PNG (PNG specification, third edition, 5.3: length, type, data,
    CRC), from memory."""
    found, at = set(), 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        found.add(png[at + 4 : at + 8])
        at += 12 + length
    return found


def test_the_same_file_gives_the_same_bytes(save: Callable[..., Path], pdf: Any) -> None:
    for path in (save(drawn()), pdf()):
        assert read_picture(path).png == read_picture(path).png


def test_the_name_says_nothing_about_what_it_is(save: Callable[..., Path], pdf: Any) -> None:
    path = save(drawn(), "a.png")
    assert quarters(read_picture(path.rename(path.with_suffix(".pdf"))))[0] == 0
    page = pdf()
    assert read_picture(page.rename(page.with_suffix(".jpeg"))).kind is UnderlayKind.PDF_PAGE


# PDF


def test_a_page_is_drawn_as_another_renderer_draws_it(pdf: Any) -> None:
    path = pdf()
    picture = read_picture(path)
    assert (picture.kind, picture.page) == (UnderlayKind.PDF_PAGE, 1)
    with pymupdf.open(path) as document:
        other = document[0].get_pixmap(dpi=300)
    assert (picture.width_px, picture.height_px) == pytest.approx(
        (other.width, other.height), abs=1
    )
    ours = pixels(picture) < 128
    theirs = np.frombuffer(other.samples, np.uint8).reshape(other.height, other.width, 3)[..., 0]
    assert box(ours) == pytest.approx(box(theirs < 128), abs=1)
    assert ours.sum() == pytest.approx((theirs < 128).sum(), rel=0.1)


def box(dark: Any) -> list[int]:
    """First and last row and column with a dark pixel."""
    places = np.argwhere(dark)
    return [*map(int, places.min(axis=0)), *map(int, places.max(axis=0))]


def test_its_scale_comes_out_of_two_corners(pdf: Any) -> None:
    """The rectangle is 200 x 100 mm; at 1 : 100 that is 20 x 10 m, and the page 29.7 m long."""
    picture = read_picture(pdf())
    dark = np.argwhere(pixels(picture) < 128)
    (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0) + 1
    line_px = 2 / 72 * 300
    points = (
        (left + line_px / 2, bottom - line_px / 2),
        (right - line_px / 2, bottom - line_px / 2),
    )
    under, _ = scaled(picture, Scaling(points_px=points, distance_m=20.0, first_at_m=(0.0, 0.0)))
    assert under.width_px * under.m_per_px == pytest.approx(29.7, abs=0.02)
    assert under.on_site(left + line_px / 2, top + line_px / 2) == pytest.approx((0, 10), abs=0.02)
    assert under.origin == pytest.approx((-4.0, -5.0), abs=0.02)


def test_a_large_sheet_is_drawn_at_the_limit(pdf: Any) -> None:
    picture = read_picture(pdf(size=(2384.0, 1684.0)))  # A1, 841 x 594 mm
    assert LARGEST_PX - 2 <= picture.width_px <= LARGEST_PX


def test_a_page_that_is_turned_is_shown_as_readers_show_it(pdf: Any, tmp_path: Path) -> None:
    with pymupdf.open(pdf()) as document:
        document[0].set_rotation(90)
        document.save(tmp_path / "turned.pdf")
    picture = read_picture(tmp_path / "turned.pdf")
    assert picture.width_px < picture.height_px


def test_of_several_pages_one_has_to_be_named(pdf: Any) -> None:
    path = pdf(3)
    assert read_picture(path, 3).page == 3
    with pytest.raises(PlanError, match=r"has 3 pages. Say which one .*--page 1 to 3"):
        read_picture(path)
    for page in (0, -1, 4):
        with pytest.raises(PlanError, match=f"has no page {page}; allowed: 1 to 3"):
            read_picture(path, page)


def test_too_many_pages(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    kids = b" ".join(b"%d 0 R" % n for n in range(3, 10_003))
    pages = b"<</Type/Pages/Count 10000/Kids[%s]>>" % kids
    page = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 842 595]>>"
    path.write_bytes(by_hand(pages, *[page] * 10_000))
    with pytest.raises(PlanError, match=f"has 10000 pages; {MOST_PAGES} is the limit"):
        read_picture(path, 3)


def by_hand(*bodies: bytes) -> bytes:
    """A PDF of a catalogue and objects from number 2, the pages, and where each of them begins."""
    content, starts = b"%PDF-1.4\n", []
    for number, body in enumerate((b"<</Type/Catalog/Pages 2 0 R>>", *bodies), start=1):
        starts.append(len(content))
        content += b"%d 0 obj%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    head = b"xref\n0 %d\n0000000000 65535 f \n" % (len(starts) + 1)
    tail = b"trailer<</Size %d/Root 1 0 R>>\n" % (len(starts) + 1)
    return content + head + table + tail + b"startxref\n%d\n%%%%EOF" % len(content)


def endless_page() -> bytes:
    """A page that draws a form twenty times, which draws a form twenty times, and so on."""

    def stream(head: bytes, text: bytes) -> bytes:
        return b"<<%s/Length %d>>stream\n%s\nendstream" % (head, len(text), text)

    form = b"/Type/XObject/Subtype/Form/BBox[0 0 595 842]/Resources<</XObject<</F %d 0 R>>>>"
    page = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R%s>>"
    return by_hand(
        b"<</Type/Pages/Count 1/Kids[3 0 R]>>",
        page % b"/Resources<</XObject<</F 5 0 R>>>>",
        stream(b"", b"/F Do"),
        *(stream(form % (6 + depth), b"/F Do " * 20) for depth in range(9)),
        stream(form % 14, b"0 0 500 500 re f"),
    )


def test_a_locked_pdf(pdf: Any) -> None:
    path = pdf(encryption=pymupdf.PDF_ENCRYPT_AES_256, user_pw="secret", owner_pw="other")
    with pytest.raises(PlanError, match=r"locked by a password. Open it, save"):
        read_picture(path)


def test_a_pdf_that_only_forbids_changes_is_read(pdf: Any) -> None:
    path = pdf(encryption=pymupdf.PDF_ENCRYPT_AES_256, user_pw="", owner_pw="other")
    assert read_picture(path).page == 1


@pytest.mark.parametrize("size", [(20_000.0, 595.0), (842.0, 40.0)])
def test_a_page_of_no_usual_size(pdf: Any, size: tuple[float, float]) -> None:
    with pytest.raises(PlanError, match=r"Page 1 of plan.pdf is .* mm; allowed are 25 to 5080 mm"):
        read_picture(pdf(size=size))


# Bad files


def png_header(wide: int, high: int) -> bytes:
    """A PNG that claims a size and has no pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        crc = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + crc

    header = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b""))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("wide", "high"), [(100_000, 100_000), (12_000, 8_000), (9_500, 9_500), (8_001, 10_000)]
)
def test_a_picture_that_claims_too_many_pixels(tmp_path: Path, wide: int, high: int) -> None:
    path = tmp_path / "plan.png"
    path.write_bytes(png_header(wide, high))
    with pytest.raises(PlanError, match="pixels; 80 million is the limit"):
        read_picture(path)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"not a picture at all", "is not a picture that can be read; allowed are PNG"),
        (b"\0" * 1000, "is not a picture"),
        (b"GIF89a", "is not a picture|damaged"),
        (b"%PDF-1.7\nthis is not much of a PDF", "begins like a PDF but is damaged"),
        (b"%PDF-1.4\n1 0 obj<</Type/Catalog>>endobj trailer<</Root 1 0 R>>", "PDF|no page"),
        (b"ISO-10303-21;\nHEADER;", "is an IFC plan; import it"),
        (b"AC1032\0\0", "is a DWG drawing; export it as DXF"),
        (b"PK\x03\x04....", "is a zip archive"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n", "is PostScript"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "is a HEIC or AVIF picture; save it as JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is not a picture"),
    ],
)
def test_what_is_no_picture_is_said_in_a_sentence(
    tmp_path: Path, content: bytes, said: str
) -> None:
    path = tmp_path / "plan.png"
    path.write_bytes(content)
    with pytest.raises(PlanError, match=said):
        read_picture(path)


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.gif", "a.bmp", "a.webp", "a.pdf"])
def test_cut_short_anywhere_gives_a_picture_or_a_sentence(
    save: Callable[..., Path], pdf: Any, name: str
) -> None:
    path = pdf() if name.endswith("pdf") else save(drawn(), name)
    whole = path.read_bytes()
    refused = 0
    for share in range(1, 20):
        path.write_bytes(whole[: len(whole) * share // 20])
        try:
            read_picture(path)
        except PlanError:
            refused += 1
    assert refused > 0


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.gif", "a.bmp", "a.webp", "a.pdf"])
def test_damaged_bytes_give_a_picture_or_a_sentence(
    save: Callable[..., Path], pdf: Any, name: str
) -> None:
    path = pdf() if name.endswith("pdf") else save(drawn(), name)
    whole = path.read_bytes()
    chance = np.random.default_rng(3)
    read = 0
    for _ in range(20):
        spoiled = bytearray(whole)
        for place in chance.integers(0, min(len(whole), 600), 6):
            spoiled[place] = chance.integers(0, 256)
        path.write_bytes(spoiled)
        try:
            read_picture(path)
            read += 1
        except PlanError:
            continue
    assert read < 20


def test_odd_paths(tmp_path: Path, save: Callable[..., Path]) -> None:
    with pytest.raises(PlanError, match="is not a file"):
        read_picture(tmp_path)
    with pytest.raises(PlanError, match="cannot be read"):
        read_picture(tmp_path / "nowhere.png")
    os.mkfifo(tmp_path / "pipe.png")
    with pytest.raises(PlanError, match="is not a file"):
        read_picture(tmp_path / "pipe.png")
    real = save(drawn(), "Grundriß – 1. OG 'neu'.png")
    (tmp_path / "link").symlink_to(real)
    assert quarters(read_picture(tmp_path / "link"))[0] == 0
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    with pytest.raises(PlanError, match="cannot be read"):
        read_picture(tmp_path / "circle")


def test_too_many_bytes(save: Callable[..., Path]) -> None:
    with pytest.raises(PlanError, match="has more than 0 MB, which is the limit"):
        read_picture(save(drawn()), largest_bytes=100)


def test_too_small_to_draw_over(save: Callable[..., Path]) -> None:
    with pytest.raises(PlanError, match="50 x 300 pixels; 100 each way is the least"):
        read_picture(save(drawn("L", (50, 300))))


def test_a_page_of_a_picture_that_has_none(save: Callable[..., Path]) -> None:
    path = save(drawn())
    assert read_picture(path, 1).page is None
    with pytest.raises(PlanError, match="has no pages"):
        read_picture(path, 2)


# In a process of its own


def test_apart_gives_the_same(save: Callable[..., Path]) -> None:
    path = save(drawn())
    assert read_picture_apart(path) == read_picture(path)
    path.write_bytes(b"")
    with pytest.raises(PlanError, match="is empty"):
        read_picture_apart(path)


def test_apart_ends_what_takes_too_long(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(endless_page())
    with pytest.raises(PlanError, match="takes longer than 3 s to read"):
        read_picture_apart(path, longest_s=3.0)


# Scale: plane geometry by hand


@pytest.fixture
def plain() -> Picture:
    return Picture(b"png", 1000, 600, UnderlayKind.PICTURE, None, ())


def test_scale_is_distance_over_pixels_and_the_corner_is_the_origin(plain: Picture) -> None:
    under, notes = scaled(plain, Scaling(points_px=((100, 100), (700, 500)), distance_m=36.0))
    assert under.m_per_px == pytest.approx(36.0 / math.hypot(600, 400))
    assert (under.origin, under.rotation_deg) == ((0.0, 0.0), 0.0)
    (note,) = notes
    assert note.startswith("The picture's lower left corner is the site's origin.")


def test_the_first_point_lands_where_it_was_said_to(plain: Picture) -> None:
    """0.02 m a pixel: 100, 550 is 2 m right of and 1 m above the corner."""
    under, notes = scaled(
        plain,
        Scaling(points_px=((100, 550), (600, 550)), distance_m=10.0, first_at_m=(5.0, -3.0)),
    )
    assert under.origin == pytest.approx((3.0, -4.0))
    assert under.on_site(600, 550) == pytest.approx((15.0, -3.0))
    assert notes == ()


@pytest.mark.parametrize(
    ("second", "direction_deg", "turned_deg"),
    [
        ((600, 550), 0.0, 0.0),
        ((600, 550), 90.0, 90.0),
        ((100, 50), 90.0, 0.0),  # up in the picture, up on the site
        ((100, 50), 0.0, -90.0),
        ((600, 50), 0.0, -45.0),
        ((100, 600), 90.0, 180.0),
    ],
)
def test_a_line_gives_the_direction(
    plain: Picture, second: tuple[float, float], direction_deg: float, turned_deg: float
) -> None:
    under, _ = scaled(
        plain,
        Scaling(
            points_px=((100, 550), second),
            distance_m=10.0,
            first_at_m=(1.0, 2.0),
            direction_deg=direction_deg,
        ),
    )
    assert math.cos(math.radians(under.rotation_deg - turned_deg)) == pytest.approx(1.0)
    assert under.on_site(100, 550) == pytest.approx((1.0, 2.0))
    way = math.radians(direction_deg)
    expected = (1.0 + 10.0 * math.cos(way), 2.0 + 10.0 * math.sin(way))
    assert under.on_site(*second) == pytest.approx(expected)


def test_points_close_together_are_told_with_what_a_slip_costs(plain: Picture) -> None:
    scaling = Scaling(points_px=((0, 0), (40, 0)), distance_m=1.0, first_at_m=(0.0, 0.0))
    (note,) = scaled(plain, scaling)[1]
    assert "40 pixels apart: a slip of 2 pixels changes every length by 5%" in note


@pytest.mark.parametrize(
    ("points", "distance_m", "said"),
    [
        (((5, 5), (5, 5)), 3.0, "Both points are the same"),
        (((5, 5), (1001, 5)), 3.0, "Point 1001,5 is outside the picture of 1000 x 600 pixels"),
        (((5, -1), (100, 5)), 3.0, "Point 5,-1 is outside"),
        (((5, 5), (math.nan, 5)), 3.0, "outside"),
        (((5, 5), (500, 5)), 0.0, "distance given is 0 m; allowed: above 0"),
        (((5, 5), (500, 5)), -2.0, "distance given is -2 m"),
        (((5, 5), (500, 5)), math.nan, "distance given is nan m"),
        (((5, 5), (500, 5)), math.inf, "distance given is inf m"),
        (((0, 0), (1000, 0)), 1001.0, r"make the picture 1e\+03 m long; allowed: 1 to 1000 m"),
        (((0, 0), (1000, 0)), 0.9, "make the picture 0.9 m long"),
        (((0, 0), (2, 0)), 12.0, "make the picture 6e"),
    ],
)
def test_no_scale_from_nonsense(plain: Picture, points: Any, distance_m: float, said: str) -> None:
    with pytest.raises(PlanError, match=said):
        scaled(plain, Scaling(points_px=points, distance_m=distance_m))


def test_no_direction_and_no_place_out_of_this_world(plain: Picture) -> None:
    points = ((0.0, 0.0), (1000.0, 0.0))
    with pytest.raises(PlanError, match="direction given is inf"):
        scaled(plain, Scaling(points_px=points, distance_m=20.0, direction_deg=math.inf))
    with pytest.raises(PlanError, match="lower left corner would lie at 600, -12 m; allowed"):
        scaled(plain, Scaling(points_px=points, distance_m=20.0, first_at_m=(600.0, 0.0)))


# Back from beside the job file


def test_a_stored_picture_is_read_back(save: Callable[..., Path]) -> None:
    picture = read_picture(save(drawn()))
    under, _ = scaled(picture, Scaling(points_px=((0, 0), (400, 0)), distance_m=8.0))
    assert np.array_equal(np.asarray(stored_pixels(picture.png, under)), pixels(picture))
    other = under.model_copy(update={"width_px": 399})
    with pytest.raises(PlanError, match="does not have the 399 x 300 pixels"):
        stored_pixels(picture.png, other)
    with pytest.raises(PlanError, match="is damaged"):
        stored_pixels(picture.png[:200], under)


def test_a_stored_picture_that_claims_too_much_is_not_opened() -> None:
    under, _ = scaled(
        Picture(b"", 20_000, 20_000, UnderlayKind.PICTURE, None, ()),
        Scaling(points_px=((0, 0), (400, 0)), distance_m=8.0),
    )
    with pytest.raises(PlanError):
        stored_pixels(png_header(20_000, 20_000), under)


# The picture with the grid


@pytest.mark.parametrize("size", [(100, 100), (640, 480), (1600, 1200), (4000, 250)])
def test_the_grid_keeps_the_size_and_most_of_the_picture(
    save: Callable[..., Path], size: tuple[int, int]
) -> None:
    picture = read_picture(save(drawn("RGB", size)))
    ruled = Image.open(io.BytesIO(with_ruler(picture)))
    assert ruled.size == size
    changed = (np.asarray(ruled.convert("L")) != pixels(picture)).mean()
    assert 0.0 < changed < 0.5


def test_a_line_of_the_grid_stands_where_its_figure_says(save: Callable[..., Path]) -> None:
    blank = read_picture(save(Image.new("RGB", (3000, 2000), "white")))
    grey = np.asarray(Image.open(io.BytesIO(with_ruler(blank))).convert("L"))
    row = grey[1950]  # between the figures of the lower edge and the line above
    assert [x for x in range(3000) if row[x] < 255 and 200 < x < 2800] == [*range(300, 2800, 100)]
