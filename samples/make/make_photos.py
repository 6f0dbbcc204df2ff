"""Twelve photos of a page, as a phone takes them: on dark, light and patterned tables, with a shadow,
seen from the side up to 25 degrees, turned as EXIF says (1 to 8), of two megapixels.

    python3 make_photos.py PAGE.png FOLDER

PAGE.png is a page of a letter (pdftoppm -r 200 -f 5 -l 5 -png samples/open-list-f.pdf page). Needs
Pillow and numpy. The photos are not kept in the project; nothing in them is random.
"""
import sys
from pathlib import Path

import numpy as np
from PIL import Image, ImageFilter, ImageOps

WIDE, HIGH = 1224, 1632  # two megapixels

# What the camera does to an upright picture so that the viewer, told the value, undoes it.
STORED = {
    1: [],
    2: [Image.Transpose.FLIP_LEFT_RIGHT],
    3: [Image.Transpose.ROTATE_180],
    4: [Image.Transpose.FLIP_TOP_BOTTOM],
    5: [Image.Transpose.TRANSPOSE],
    6: [Image.Transpose.ROTATE_90],
    7: [Image.Transpose.TRANSVERSE],
    8: [Image.Transpose.ROTATE_270],
}

# name, table, degrees from the side, shadow, EXIF
PHOTOS = [
    ("01-dark", "dark", 0, False, 1),
    ("02-dark-mirrored", "dark", 0, False, 2),
    ("03-light-on-its-head", "light", 0, False, 3),
    ("04-light-flipped", "light", 0, False, 4),
    ("05-patterned-5", "patterned", 0, False, 5),
    ("06-dark-on-its-side", "dark", 0, False, 6),
    ("07-light-7", "light", 0, False, 7),
    ("08-patterned-on-its-side", "patterned", 0, False, 8),
    ("09-dark-shadow", "dark", 0, True, 1),
    ("10-dark-12-degrees", "dark", 12, False, 1),
    ("11-patterned-18-degrees-shadow", "patterned", 18, True, 1),
    ("12-dark-25-degrees", "dark", 25, False, 6),
]


def table(kind):
    """The table under the page."""
    y, x = np.mgrid[0:HIGH, 0:WIDE]
    if kind == "dark":
        shade = 45 + 6 * np.sin(y / 37.0)
    elif kind == "light":
        shade = 176 + 5 * np.sin(x / 53.0)
    else:
        shade = 90 + 45 * (((x // 60) + (y // 60)) % 2)
    return Image.fromarray(shade.clip(0, 255).astype(np.uint8))


def lies(degrees):
    """Where the four corners of the page are in the photo: the far side is shorter."""
    near = 0.06 * WIDE
    far = near + 0.5 * WIDE * np.sin(np.radians(degrees)) * 0.45
    top = 0.05 * HIGH + 0.3 * HIGH * (1 - np.cos(np.radians(degrees)))
    return [(far, top), (WIDE - far, top), (WIDE - near, 0.95 * HIGH), (near, 0.95 * HIGH)]


def seen(page, corners):
    """The page as the camera sees it, and where it is."""
    w, h = page.size
    rows, wanted = [], []
    for (x, y), (u, v) in zip(corners, [(0, 0), (w, 0), (w, h), (0, h)]):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        wanted += [u, v]
    how = np.linalg.solve(np.array(rows, float), np.array(wanted, float))
    size = (WIDE, HIGH)
    place = Image.new("L", page.size, 255).transform(size, Image.Transform.PERSPECTIVE, how, Image.Resampling.BICUBIC)
    return page.transform(size, Image.Transform.PERSPECTIVE, how, Image.Resampling.BICUBIC), place


def main():
    page = ImageOps.autocontrast(Image.open(sys.argv[1]).convert("L"))
    page = page.point(lambda v: 20 + v * 215 // 255)
    folder = Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    noise = np.random.default_rng(4711)
    for name, under, degrees, shadow, turn in PHOTOS:
        sheet, place = seen(page, lies(degrees))
        photo = np.array(Image.composite(sheet, table(under), place), float)
        if shadow:
            y, x = np.mgrid[0:HIGH, 0:WIDE]
            photo *= 1 - 0.45 / (1 + np.exp(-(x + 0.4 * y - 1000) / 60.0))
        photo += noise.normal(0, 3, photo.shape)
        out = Image.fromarray(photo.clip(0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(0.5))
        for step in STORED[turn]:
            out = out.transpose(step)
        exif = Image.Exif()
        exif[0x0112] = turn
        out.convert("RGB").save(folder / f"{name}.jpg", quality=85, exif=exif)


main()
