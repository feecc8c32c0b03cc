"""A picture with a grid that its pixels can be read off by."""

import io
import itertools

from PIL import Image, ImageDraw, ImageFont

from pathproof.plans.picture._result import Picture

_STEPS_PX = (10, 20, 50, 100)
_MOST_LINES = 40
_MAJOR = 5
"""Every so many lines one is heavier and has its figure inside the picture too."""
_INK = (31, 61, 122)
_PAPER = (255, 255, 255)


def with_ruler(picture: Picture) -> bytes:
    """The picture as PNG, of the same size, under a grid with figures in pixels.

    Figures count from the upper left corner to the right and down, as programs that show pictures
    count the place of the pointer.
    """
    with Image.open(io.BytesIO(picture.png)) as stored:
        image = stored.convert("RGB")
    step = _step_px(max(image.size))
    image = _with_lines(image, step)
    draw = ImageDraw.Draw(image)
    font = ImageFont.load_default(max(10.0, 0.28 * step))
    wide, high = image.size
    edges = [(x, y) for x in range(step, wide, step) for y in (0, high)]
    sides = [(x, y) for y in range(step, high, step) for x in (0, wide)]
    major = step * _MAJOR
    for x, y in edges:
        _figure(draw, font, str(x), (x, y), "ma" if y == 0 else "md")
    for x, y in sides:
        _figure(draw, font, str(y), (x, y), "lm" if x == 0 else "rm")
    for x, y in itertools.product(range(major, wide, major), range(major, high, major)):
        _figure(draw, font, f"{x},{y}", (x, y), "mm")
    stream = io.BytesIO()
    image.save(stream, "PNG")
    return stream.getvalue()


def _step_px(longest_px: int) -> int:
    return next((s for s in _STEPS_PX if longest_px / s <= _MOST_LINES), _STEPS_PX[-1])


def _with_lines(image: Image.Image, step: int) -> Image.Image:
    """The picture with its grid, thin enough to see what is under it."""
    glass = Image.new("L", image.size, 0)
    draw = ImageDraw.Draw(glass)
    wide, high = image.size
    for ends, along in ((wide, 0), (high, 1)):
        for number, at in enumerate(range(step, ends, step), start=1):
            shade = 170 if number % _MAJOR == 0 else 70
            line = [(at, 0), (at, high)] if along == 0 else [(0, at), (wide, at)]
            draw.line(line, fill=shade, width=1)
    return Image.composite(Image.new("RGB", image.size, _INK), image, glass)


def _figure(
    draw: ImageDraw.ImageDraw,
    font: ImageFont.ImageFont | ImageFont.FreeTypeFont,
    text: str,
    at: tuple[int, int],
    anchor: str,
) -> None:
    """A figure on a piece of paper, unless the picture's edge would cut it."""
    box = draw.textbbox(at, text, font=font, anchor=anchor)
    if box[0] < 0 or box[2] > draw.im.size[0]:
        return
    draw.rectangle((box[0] - 1, box[1] - 1, box[2] + 1, box[3] + 1), fill=_PAPER)
    draw.text(at, text, font=font, anchor=anchor, fill=_INK)
