#!/usr/bin/env python3
"""Makes the PDFs of this folder from letter.json: make.py OUTDIR

Debian: libreoffice-writer chromium ghostscript groff poppler-utils mupdf-tools qpdf texlive-latex-base
        texlive-latex-recommended weasyprint fonts-liberation
PyPI:   reportlab fpdf2 python-docx typst pikepdf
A missing program is reported and left out."""
import html, json, os, shutil, subprocess, sys, tempfile, textwrap

HERE = os.path.dirname(os.path.abspath(__file__))
OUT = os.path.abspath(sys.argv[1])
TMP = tempfile.mkdtemp()
BLOCKS = json.load(open(os.path.join(HERE, "letter.json"), encoding="utf-8"))
HEAD, FOOT = "N0PLV operating limitations", "Page {n} of {m}"
FONT = "/usr/share/fonts/truetype/liberation/LiberationSerif-Regular.ttf"


def out(name):
    return os.path.join(OUT, name + ".pdf")


def run(*words, **more):
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=180, **more)


def lines(width):
    """(indent, number, words) of each printed line."""
    for kind, number, text in BLOCKS:
        if kind == "table":
            for row in text:
                yield 0, "", "      ".join(row)
            continue
        indent = {"i": 1}.get(kind, 0)
        for n, line in enumerate(textwrap.wrap(text, width - 4 * indent)):
            yield indent, number if n == 0 else "", line
        yield 0, "", ""


# ---- reportlab: hanging numbers drawn after all text; letters one by one; turned content; fax and stamp
def reportlab(name, how):
    from reportlab.lib.pagesizes import letter as size
    from reportlab.pdfbase.pdfmetrics import stringWidth
    from reportlab.pdfgen import canvas
    w, h = size
    c = canvas.Canvas(out(name), pagesize=size, invariant=1)
    face, points = "Times-Roman", 11
    if how == "turned":
        w, h = h, w
    top, bottom = h - 80, 60
    state = {"y": top, "page": 1, "late": []}
    all_lines = list(lines(100 if how == "turned" else 76))
    per = int((top - bottom) // 14) + 1
    total = -(-len(all_lines) // per)

    def begin():
        if how == "turned":
            c.translate(612, 0)
            c.rotate(90)
        c.setFont(face, points)
        if how == "fax":
            c.setFont("Courier", 9)
            c.drawString(20, h - 18, f"APR-09-2013 14:0{state['page']} FROM: TIDEWRACK OFFICE   FAX NO. 000 000 0000   P. 0{state['page']}/0{total}")
            c.saveState(); c.translate(430, 300); c.rotate(35); c.setFont("Helvetica-Bold", 22)
            c.drawString(0, 0, "RECEIVED"); c.setFont("Helvetica-Bold", 12); c.drawString(10, -16, "APR 10 2013"); c.restoreState()
        c.setFont(face, 9)
        c.drawString(72, h - 40, HEAD)
        c.drawRightString(w - 72, 32, FOOT.format(n=state["page"], m=total))
        c.setFont(face, points)

    begin()
    for n, (indent, number, words) in enumerate(all_lines):
        if n and n % per == 0:
            for x, y, number_ in state["late"]:
                c.drawString(x, y, number_)
            state["late"] = []
            c.showPage()
            state["page"] += 1
            state["y"] = top
            begin()
        x, y = 100 + 24 * indent, state["y"]
        if how == "letters":
            for text, at in ((number, x - 28), (words, x)):
                for ch in text:
                    if ch != " ":
                        c.drawString(at, y, ch)
                    at += stringWidth(ch, face, points)
        else:
            c.drawString(x, y, words)
            if number:
                state["late"].append((x - 28, y, number))
        state["y"] -= 14
    for x, y, number_ in state["late"]:
        c.drawString(x, y, number_)
    c.save()


# ---- written by hand: the quote operators, forms with a matrix, lines drawn from the last to the first
def raw(name, page_of, form=False):
    def esc(s):
        return s.encode("cp1252", "replace").replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")
    ls = [("    " * i + (n + " " if n else "") + w) for i, n, w in lines(84)]
    pages = [ls[i:i + 48] for i in range(0, len(ls), 48)]
    objects = [b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica/Encoding/WinAnsiEncoding>>", b""]
    def add(b):
        objects.append(b)
        return len(objects)
    kids = []
    for p in pages:
        body, font = page_of([esc(l) for l in p]), b"/Font<</F1 1 0 R>>"
        if form:
            x = add(b"<</Type/XObject/Subtype/Form/BBox[-50 -50 700 900]/Matrix[1 0 0 1 0 -200]/Resources<<%s>>/Length %d>>stream\n%s\nendstream" % (font, len(body), body))
            body, res = b"q 0.9 0 0 0.9 20 220 cm /X Do Q", b"/XObject<</X %d 0 R>>" % x
        else:
            res = font
        s = add(b"<</Length %d>>stream\n%s\nendstream" % (len(body), body))
        kids.append(add(b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]/Contents %d 0 R/Resources<<%s>>>>" % (s, res)))
    objects[1] = b"<</Type/Pages/Count %d/Kids[%s]>>" % (len(kids), b" ".join(b"%d 0 R" % k for k in kids))
    root = add(b"<</Type/Catalog/Pages 2 0 R>>")
    buf, offs = b"%PDF-1.4\n", []
    for i, o in enumerate(objects, 1):
        offs.append(len(buf))
        buf += b"%d 0 obj\n%s\nendobj\n" % (i, o)
    x = len(buf)
    buf += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1) + b"".join(b"%010d 00000 n \n" % o for o in offs)
    buf += b"trailer<</Size %d/Root %d 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, root, x)
    open(out(name), "wb").write(buf)


def raws():
    raw("raw_quote", lambda p: b"BT /F1 10 Tf 14 TL 50 754 Td " + b" ".join(b"(%s) '" % l for l in p) + b" ET")
    raw("raw_double_quote", lambda p: b"BT /F1 10 Tf 14 TL 50 754 Td " + b" ".join(b"0 0 (%s) \"" % l for l in p) + b" ET")
    raw("raw_form", lambda p: b"BT /F1 10 Tf 14 TL 50 740 Td " + b" T* ".join(b"(%s) Tj" % l for l in p) + b" ET", True)
    raw("raw_reverse", lambda p: b"BT /F1 10 Tf " + b" ".join(b"1 0 0 1 50 %d Tm (%s) Tj" % (740 - 14 * i, l) for i, l in reversed(list(enumerate(p)))) + b" ET")


# ---- HTML: tables, hanging numbers, two columns
def page(two):
    css = f"""@page {{ size: letter; margin: 24mm 22mm; @top-left {{ content: "{HEAD}"; font-size: 8pt }} @bottom-right {{ content: "Page " counter(page) " of " counter(pages); font-size: 8pt }} }}
    body {{ font: 11pt "Liberation Serif"; text-align: justify; {'columns: 2; column-gap: 8mm; font-size: 10pt;' if two else ''} }}
    p {{ margin: 0 0 6pt 26pt; text-indent: -26pt }} p.i {{ margin-left: 52pt }} p.p, p.h, p.title {{ margin-left: 0; text-indent: 0 }} span {{ display: inline-block; width: 26pt; text-indent: 0 }}
    td {{ border: 1px solid #000; padding: 2px 6px }} table {{ border-collapse: collapse; margin-bottom: 6pt }}"""
    rows = []
    for kind, number, text in BLOCKS:
        if kind == "table":
            rows.append("<table>" + "".join("<tr>" + "".join(f"<td>{html.escape(c)}</td>" for c in r) + "</tr>" for r in text) + "</table>")
        else:
            rows.append(f"<p class={kind}>" + (f"<span>{number}</span>" if number else "") + html.escape(text) + "</p>")
    return f"<!doctype html><html lang=en><meta charset=utf-8><title>t</title><style>{css}</style><body>" + "\n".join(rows)


def htmls():
    for name, two in (("one", False), ("two", True)):
        open(f"{TMP}/{name}.html", "w").write(page(two))
    run("weasyprint", f"{TMP}/two.html", out("weasyprint_two_columns"))
    run("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", f"--print-to-pdf={out('chromium_table')}", f"{TMP}/one.html")


def libreoffice():
    import docx
    from docx.oxml import OxmlElement, parse_xml
    from docx.oxml.ns import nsdecls
    from docx.shared import Pt
    d = docx.Document()
    d.styles["Normal"].font.name, d.styles["Normal"].font.size = "Liberation Serif", Pt(12)
    d.sections[0].header.paragraphs[0].text = HEAD
    num = d.part.numbering_part.element
    levels = "".join(f'<w:lvl w:ilvl="{i}"><w:start w:val="1"/><w:numFmt w:val="{f}"/><w:lvlText w:val="{t}"/><w:lvlJc w:val="left"/><w:pPr><w:ind w:left="{left}" w:hanging="567"/></w:pPr></w:lvl>' for i, (f, t, left) in enumerate([("decimal", "%1.", 567), ("lowerLetter", "(%2)", 1134)]))
    num.insert(0, parse_xml(f'<w:abstractNum {nsdecls("w")} w:abstractNumId="77"><w:multiLevelType w:val="multilevel"/>{levels}</w:abstractNum>'))
    num.append(parse_xml(f'<w:num {nsdecls("w")} w:numId="77"><w:abstractNumId w:val="77"/></w:num>'))
    for kind, number, text in BLOCKS:
        if kind == "table":
            t = d.add_table(rows=0, cols=3)
            t.style = "Table Grid"
            for r in text:
                for cell, words in zip(t.add_row().cells, r):
                    cell.text = words
            continue
        p = d.add_paragraph(text)
        if number:
            p._p.get_or_add_pPr().append(parse_xml(f'<w:numPr {nsdecls("w")}><w:ilvl w:val="{int(kind == "i")}"/><w:numId w:val="77"/></w:numPr>'))
    d.save(f"{TMP}/letter.docx")
    run("soffice", "--headless", f"-env:UserInstallation=file://{TMP}/lo", "--convert-to", "pdf", "--outdir", TMP, f"{TMP}/letter.docx")
    shutil.move(f"{TMP}/letter.pdf", out("libreoffice_numbering"))
    run("gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=pdfwrite", f"-sOutputFile={out('ghostscript_numbering')}", out("libreoffice_numbering"))
    run("pdftocairo", "-pdf", out("libreoffice_numbering"), out("cairo_numbering"))


def pdftex():
    def quote(s):
        for a, b in (("\\", "\\textbackslash{}"), ("&", "\\&"), ("%", "\\%"), ("#", "\\#"), ("_", "\\_"), ("§", "\\S{}"), (' "', " ``"), ('"', "''")):
            s = s.replace(a, b)
        return s
    body = []
    for kind, number, text in BLOCKS:
        if kind == "table":
            body.append("\\begin{tabular}{|l|l|l|}\\hline " + " \\\\\\hline ".join(" & ".join(quote(c) for c in r) for r in text) + "\\\\\\hline\\end{tabular}")
        elif number:
            body.append(("\\hspace*{1.5em}" if kind == "i" else "") + f"\\makebox[2em][l]{{{number}}}" + quote(text))
        else:
            body.append(quote(text))
    head = "\\documentclass[10pt,letterpaper,twocolumn]{article}\\usepackage[T1]{fontenc}\\usepackage[utf8]{inputenc}\\usepackage{lmodern,textcomp}\\usepackage[margin=22mm]{geometry}\\usepackage{fancyhdr}\\pagestyle{fancy}\\fancyhf{}\\lhead{" + HEAD + "}\\rfoot{Page \\thepage}\\parindent0pt\\parskip5pt\\sloppy\\begin{document}\n"
    open(f"{TMP}/l.tex", "w").write(head + "\n\n".join(body) + "\\end{document}\n")
    run("pdflatex", "-interaction=batchmode", f"-output-directory={TMP}", f"{TMP}/l.tex")
    shutil.copy(f"{TMP}/l.pdf", out("pdftex_two_columns"))


def typst():
    import typst
    q = lambda s: "".join("\\" + c if c in "\\#$*_`<>@[]=-+/~\"'" else c for c in s)
    text = [f'#set page(paper: "us-letter", header: [{q(HEAD)}], footer: context [Page #counter(page).display() of #counter(page).final().first()])',
            '#set text(size: 11.5pt, lang: "en")', "#set par(justify: true)"]
    for kind, number, words in BLOCKS:
        if kind == "table":
            text.append("#table(columns: 3, " + ", ".join("[" + q(c) + "]" for r in words for c in r) + ")")
        elif number:
            text.append(f"#grid(columns: ({'4.5em' if kind == 'i' else '2.2em'}, 1fr), align: (right, left), column-gutter: 0.7em, [{q(number)}], [{q(words)}])\n")
        else:
            text.append(q(words) + "\n")
    open(f"{TMP}/l.typ", "w").write("\n".join(text))
    typst.compile(f"{TMP}/l.typ", output=out("typst_grid"))


def fpdf2():
    from fpdf import FPDF
    p = FPDF(format="letter")
    p.add_font("L", "", FONT)
    p.set_font("L", size=12)
    p.add_page()
    for kind, number, text in BLOCKS:
        if kind == "table":
            for r in text:
                for c in r:
                    p.cell(60, 7, c, border=1)
                p.ln()
            continue
        indent = {"c": 0, "i": 10}.get(kind, 0)
        if number:
            p.set_x(p.l_margin + indent)
            p.cell(12, 6, number)
        p.set_left_margin(22 + indent if number else 10)
        p.set_x(p.l_margin)
        p.multi_cell(0, 6, text, new_x="LMARGIN", new_y="NEXT")
        p.set_left_margin(10)
        p.ln(2)
    p.output(out("fpdf2_table"))
    run("mutool", "clean", "-gggz", out("fpdf2_table"), out("mutool_table"))


def groff():
    quote = lambda s: s.replace("\\", "\\e").replace("§", "\\(sc").replace("'", "\\(aq").replace('"', "\\(dq").replace("-", "\\-")
    text = [".pl 11i", ".ll 6i", ".po 1.4i", ".ps 12", ".vs 15", ".nh", ".ta 0.4i 2i 3.6i"]
    for kind, number, words in BLOCKS:
        if kind == "table":
            text += [".nf", ".ta 2i 3.6i"] + ["\t".join(map(quote, r)) for r in words] + [".fi", ".ta 0.4i"]
        elif number:
            text += [".in " + ("0.9i" if kind == "i" else "0.4i"), ".ti -0.4i", number + "\t\\c", "\\&" + quote(words), ".in 0"]
        else:
            text += ["\\&" + quote(words)]
        text += [".sp .5"]
    open(f"{TMP}/l.roff", "w").write("\n".join(text) + "\n")
    with open(f"{TMP}/l.ps", "wb") as f:
        subprocess.run(["groff", "-Tps", "-P-pletter", f"{TMP}/l.roff"], stdout=f, check=True, stderr=subprocess.DEVNULL)
    run("ps2pdf", f"{TMP}/l.ps", out("groff_hanging"))


def turned():
    run("qpdf", out("reportlab_hanging"), out("qpdf_turned"), "--rotate=+90:1-z")


os.makedirs(OUT, exist_ok=True)
for make in (lambda: reportlab("reportlab_hanging", "hanging"), lambda: reportlab("reportlab_letters", "letters"),
             lambda: reportlab("reportlab_turned_content", "turned"), lambda: reportlab("reportlab_fax", "fax"),
             raws, htmls, libreoffice, pdftex, typst, fpdf2, groff, turned):
    try:
        make()
    except Exception as error:
        print("left out:", make.__name__, repr(error)[:200])
