"""Scans and photos of the sample letters, as an office, a fax machine and a phone would make them.

The words are those of the text files and PDFs beside them; see SCANS for what is done to each.
Needs numpy, pillow, img2pdf, pikepdf; Debian: fonts-liberation, poppler-utils. The same numbers every time.
usage: python make_scans.py [OUTPUT_FOLDER]
"""
import io
import pathlib
import subprocess
import sys
import tempfile
import zlib

import img2pdf
import numpy as np
import pikepdf
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from letters import MARK

HERE = pathlib.Path(__file__).resolve().parent.parent
OUT = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "scans"
MONO = "/usr/share/fonts/truetype/liberation/LiberationMono-Regular.ttf"


def typed(stem, dpi):
    """Pages of a text letter, typed on letter paper: ten characters an inch, six lines an inch or closer."""
    out = []
    for text in (HERE / f"{stem}.txt").read_text(encoding="utf-8").split("\f"):
        lines = text.strip("\n").split("\n")
        # running head and foot stand at the same place of each page
        head = next((n for n, line in enumerate(lines[:4]) if "Page " in line), None)
        head = lines.pop(head) if head is not None else ""
        foot = lines.pop() if MARK in lines[-1] else ""
        page = Image.new("L", (round(8.5 * dpi), 11 * dpi), 255)
        draw = ImageDraw.Draw(page)
        font = ImageFont.truetype(MONO, dpi / 10 / 0.6001 * 0.85)
        lead = min(dpi / 6, 9.3 * dpi / max(len(lines), 1))
        draw.text((0.9 * dpi, 0.4 * dpi), head, fill=20, font=font)
        draw.text((0.9 * dpi, 10.4 * dpi), foot, fill=20, font=font)
        for n, line in enumerate(lines):
            draw.text((0.9 * dpi, 0.8 * dpi + n * lead), line, fill=20, font=font)
        out.append(page)
    return out


def printed(stem, dpi, first=1, last=99):
    """Pages of a sample PDF."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(dpi), "-f", str(first), "-l", str(last), "-gray", HERE / f"{stem}.pdf", f"{folder}/p"], check=True)
        out = []
        for file in sorted(pathlib.Path(folder).iterdir()):
            page = Image.open(file).convert("L")
            page.load()
            out.append(page)
        return out


def turned(page, degrees):
    return page.rotate(degrees, resample=Image.BICUBIC, expand=False, fillcolor=255)


def dirty(page, rng, noise, blur):
    """Gray noise, specks and a soft lens."""
    page = page.filter(ImageFilter.GaussianBlur(blur))
    a = 20 + np.asarray(page, np.float32) * 215 / 255 + rng.normal(0, noise, (page.height, page.width))
    a[rng.random(a.shape) < 0.0004] = 30
    return Image.fromarray(np.clip(a, 0, 255).astype(np.uint8))


def bilevel(page):
    return page.point(lambda v: 255 if v > 140 else 0).convert("1", dither=0)


def fax(page):
    """204 by 98 dots an inch, as a fax machine sends in its coarse setting: the dots are no squares."""
    return bilevel(page.resize((round(8.5 * 204), 11 * 98), Image.BOX))


def photo(page, rng):
    """A sheet on a dark table, taken from the lower left, with a shadow over it."""
    w, h = round(page.width * 1.12), round(page.height * 1.1)
    grain = rng.normal(62, 6, (h // 8, w // 8))
    table = Image.fromarray(np.clip(grain, 0, 255).astype(np.uint8)).resize((w, h), Image.BICUBIC)
    corners = [(0.07 * w, 0.045 * h), (0.935 * w, 0.06 * h), (0.965 * w, 0.955 * h), (0.035 * w, 0.965 * h)]
    sheet = [(0, 0), (page.width, 0), (page.width, page.height), (0, page.height)]
    rows, right = [], []
    for (x, y), (u, v) in zip(corners, sheet):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    back = np.linalg.solve(np.array(rows, float), np.array(right, float))
    seen = page.transform((w, h), Image.PERSPECTIVE, back, Image.BICUBIC)
    where = Image.new("L", page.size, 255).transform((w, h), Image.PERSPECTIVE, back, Image.BILINEAR)
    a = np.asarray(Image.composite(seen, table, where), np.float32)
    light = np.linspace(1, 0.62, w)[None, :] * np.linspace(0.97, 0.85, h)[:, None]
    yy, xx = np.mgrid[0:h, 0:w]
    light = light * (1 - 0.25 / (1 + np.exp((yy + 0.5 * xx - 0.55 * h) / (0.02 * h))))
    a = a * light + rng.normal(0, 5, a.shape)
    return Image.fromarray(np.clip(a, 0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(0.7))


def encoded(page, dpi, form):
    out = io.BytesIO()
    if form == "g4":
        bilevel(page).save(out, "TIFF", compression="group4", dpi=(dpi, dpi))
    elif form == "jpeg":
        page.save(out, "JPEG", quality=55, dpi=(dpi, dpi))
    else:
        # sixteen shades, as a scanner's "document" setting
        page.point(lambda v: v // 17 * 17).save(out, "PNG", optimize=True, dpi=(dpi, dpi))
    return out.getvalue()


def pdf(pages, dpi, form):
    return img2pdf.convert([encoded(p, dpi, form) for p in pages], layout_fun=img2pdf.get_fixed_dpi_layout_fun((dpi, dpi)), nodate=True)


def main():
    OUT.mkdir(exist_ok=True)

    def rng(name):
        return np.random.default_rng(zlib.crc32(name.encode()))

    def write(name, data):
        (OUT / name).write_bytes(data)
        print(name, len(data))

    write("open-list-g-300-gray.pdf", pdf(typed("open-list-g", 300), 300, "png"))
    r = rng("bilevel")
    write("closed-list-200-bilevel.pdf", pdf([dirty(turned(p, r.uniform(-1, 1)), r, 10, 0.5) for p in typed("closed-list", 200)], 200, "g4"))
    r = rng("noisy")
    write("repair-stations-150-noisy.pdf", pdf([dirty(turned(p, r.uniform(-1.5, 1.5)), r, 16, 0.5) for p in typed("repair-stations", 150)], 150, "jpeg"))
    pages = [fax(p) for p in typed("contradiction", 300)]
    out = io.BytesIO()
    pages[0].save(out, "TIFF", save_all=True, append_images=pages[1:], compression="group4", dpi=(204, 98))
    write("contradiction-fax.tif", out.getvalue())
    r = rng("photo")
    for n, page in enumerate(typed("open-and-100-hour", 200), 1):
        out = io.BytesIO()
        photo(page, r).save(out, "JPEG", quality=60)
        write(f"open-and-100-hour-photo-{n}.jpg", out.getvalue())
    write("numbers-at-end-two-columns.pdf", pdf(printed("numbers-at-end", 200), 200, "png"))
    write("lettered-upside-down.pdf", pdf([p.rotate(180) for p in printed("lettered", 200)], 200, "g4"))
    write("exhibition-only-sideways.pdf", pdf([p.rotate(90, expand=True) for p in typed("exhibition-only", 200)], 200, "g4"))
    r = rng("skew")
    write("light-sport-3-degrees.pdf", pdf([dirty(turned(p, d), r, 8, 0.4) for p, d in zip(typed("light-sport", 200), (3, -3))], 200, "g4"))
    # the page with the deciding clause was scanned, the others are text
    mixed = pikepdf.open(HERE / "open-list-f.pdf")
    page = pikepdf.open(io.BytesIO(pdf(printed("open-list-f", 200, 5, 5), 200, "g4")))
    mixed.pages[4] = page.pages[0]
    out = io.BytesIO()
    mixed.save(out, deterministic_id=True)
    write("open-list-f-page-5-scanned.pdf", out.getvalue())


main()
