"""lettered.pdf with typst: proportional serif font with ligatures, justified and hyphenated text.

Font: Libertinus Serif (free, comes inside typst, embedded as a subset).
usage: python make_pdf_typst.py [OUTPUT_FILE]
"""
import pathlib
import sys
import tempfile

import typst

from letters import L, MARK
from make_text import curly

NAME = "lettered"
d = L[NAME]


def esc(text):
    for c in "\\#*_`$[]<>@~=/\"'":
        text = text.replace(c, "\\" + c)
    return text


def source():
    o = [f"""#set document(title: "Operating Limitations (invented sample)", date: none)
#set page(paper: "us-letter", margin: (x: 2.8cm, top: 2.7cm, bottom: 2.5cm),
  header: context [#set text(size: 9pt); {esc(d['style']['running'])} #h(1fr) Page #counter(page).display() of #counter(page).final().first()],
  footer: [#set text(size: 9pt); #align(center)[{MARK}]])
#set text(font: "Libertinus Serif", size: 12pt, lang: "en", region: "us", hyphenate: true, ligatures: true)
#set par(justify: true, leading: 0.72em, spacing: 1.05em)
#let item(indent, width, label, body) = pad(left: indent, grid(columns: (width, 1fr), [#label], body))
"""]
    for line in d["head"]:
        if line.startswith("^"):
            o.append(f"#align(center)[#strong[{esc(line[1:])}]]\n")
        elif line:
            o.append(f"#block(spacing: 0.7em)[{esc(line)}]\n")
        else:
            o.append("#v(0.4em)\n")
    for it in d["body"]:
        k = it[0]
        if k == "c":
            o.append(f"#item(0cm, 0.85cm, [{esc(d['style']['num'].format(it[1]))}], [{esc(curly(it[2]))}])\n")
        elif k == "s":
            o.append(f"#item(0.85cm, 0.65cm, [{esc(it[1])}], [{esc(curly(it[2]))}])\n")
        elif k == "ss":
            o.append(f"#item(1.5cm, 0.9cm, [{esc(it[1])}], [{esc(curly(it[2]))}])\n")
        elif k == "p":
            o.append(f"#pad(left: 0.85cm)[{esc(curly(it[1]))}]\n")
        elif k == "n":
            o.append(f"#pad(left: 0.85cm)[#emph[Note:]{esc(curly(it[1][5:]))}]\n")
    o.append("#v(1em)\n" + esc(d["foot"][-1]) + "\n")
    return "".join(o)


def main():
    out = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent.parent / f"{NAME}.pdf")
    with tempfile.TemporaryDirectory() as tmp:
        src = pathlib.Path(tmp) / "letter.typ"
        src.write_text(source(), encoding="utf-8")
        out.write_bytes(typst.compile(str(src), pdf_tags=False))


if __name__ == "__main__":
    main()
