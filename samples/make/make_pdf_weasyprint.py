"""numbers-at-end.pdf with weasyprint: two columns, running head and foot, sans serif.

Fonts: Liberation Sans (free, embedded as a subset); Debian package fonts-liberation.
usage: python make_pdf_weasyprint.py [OUTPUT_FILE]
"""
import pathlib
import sys
from html import escape

from weasyprint import HTML

from letters import L, MARK

NAME = "numbers-at-end"
d = L[NAME]

CSS = """
@page { size: letter; margin: 26mm 17mm 22mm 17mm;
  @top-left { content: "%s"; font: 8.5pt "Liberation Sans"; color: #333 }
  @top-right { content: "Page " counter(page) " of " counter(pages); font: 8.5pt "Liberation Sans"; color: #333 }
  @bottom-center { content: "%s"; font: bold 8.5pt "Liberation Sans" } }
body { font: 10.5pt/1.42 "Liberation Sans"; }
header { border-bottom: 1pt solid #000; padding-bottom: 4mm; margin-bottom: 5mm }
header h1 { font-size: 14pt; margin: 0 0 1mm 0 }
header p { margin: 0.6mm 0 }
.cols { column-count: 2; column-gap: 8mm; column-fill: auto }
h2 { font-size: 11pt; margin: 0 0 2mm 0; break-after: avoid }
.cols p { margin: 0 0 3mm 0; orphans: 2; widows: 2 }
footer { margin-top: 6mm; break-inside: avoid }
""" % (d["style"]["running"], MARK)


def html():
    out = [f"<html lang='en'><head><title>Operating limitations (invented sample)</title><style>{CSS}</style></head><body><header>"]
    for line in d["head"]:
        if line.startswith("Operating limitations"):
            out.append(f"<h1>{escape(line)}</h1>")
        elif line:
            # two facts on one line in the typewritten letter stand on lines of their own here
            for part in [x for x in line.split("   ") if x.strip()]:
                out.append(f"<p>{escape(part.strip())}</p>")
    out.append("</header><div class='cols'>")
    for it in d["body"]:
        if it[0] == "h":
            out.append(f"<h2>{escape(it[1])}</h2>")
        else:
            out.append(f"<p>{escape(it[2])} ({it[1]})</p>")
    out.append("<footer>" + "".join(f"<p>{escape(x)}</p>" for x in d["foot"] if x) + "</footer></div></body></html>")
    return "".join(out)


def main():
    out = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent.parent / f"{NAME}.pdf")
    HTML(string=html()).write_pdf(str(out), pdf_identifier=b"invented-sample")


if __name__ == "__main__":
    main()
