"""open-list-f.pdf with reportlab: the typewritten look, one and a half spaced, six letter-size pages.

The pages and lines are those of open-list-f.txt; running head and foot are set apart by rules.
Fonts: Liberation Mono (free, embedded as a subset); Debian package fonts-liberation.
usage: python make_pdf_reportlab.py [OUTPUT_FILE]
"""
import pathlib
import sys

from reportlab.lib.pagesizes import letter as LETTER
from reportlab.lib.units import inch
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen import canvas

from letters import L, MARK
from make_text import render

FONTS = pathlib.Path("/usr/share/fonts/truetype/liberation")
pdfmetrics.registerFont(TTFont("Mono", str(FONTS / "LiberationMono-Regular.ttf")))
pdfmetrics.registerFont(TTFont("Mono-Bold", str(FONTS / "LiberationMono-Bold.ttf")))

NAME = "open-list-f"
SIZE, LEAD = 10, 17.4


def main():
    out = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent.parent / f"{NAME}.pdf")
    w, h = LETTER
    left = 1.0 * inch
    right = left + pdfmetrics.stringWidth("x" * 78, "Mono", SIZE)
    c = canvas.Canvas(str(out), pagesize=LETTER, invariant=1, pageCompression=1, initialFontName="Mono", initialFontSize=SIZE)
    c.setTitle("Operating Limitations (invented sample)")
    c.setAuthor("Sample Inspector (invented)")
    c.setSubject(MARK)
    for page in render(L[NAME]).split("\f"):
        lines = page.rstrip("\n").split("\n")
        head, foot, body = lines[0], lines[-1].strip(), lines[2:-2]
        c.setLineWidth(0.6)
        c.setFont("Mono", SIZE)
        c.drawString(left, h - 0.70 * inch, head)
        c.line(left, h - 0.79 * inch, right, h - 0.79 * inch)
        y = h - 1.12 * inch
        for line in body:
            bold = line.isupper() and line.startswith("   ")
            c.setFont("Mono-Bold" if bold else "Mono", SIZE)
            if line.strip():
                c.drawString(left, y, line)
            y -= LEAD
        c.line(left, 0.84 * inch, right, 0.84 * inch)
        c.setFont("Mono-Bold", SIZE)
        c.drawCentredString((left + right) / 2, 0.62 * inch, foot)
        c.showPage()
    c.save()


if __name__ == "__main__":
    main()
