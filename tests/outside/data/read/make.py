#!/usr/bin/env python3
"""Makes the PDFs of this folder from letter.txt, each with another program: make.py OUTDIR

Debian: libreoffice-writer ghostscript groff poppler-utils mupdf-tools qpdf texlive-latex-base
        texlive-latex-recommended weasyprint fonts-liberation
PyPI:   reportlab fpdf2 python-docx typst pikepdf
A missing program is reported and left out."""
import html, os, shutil, subprocess, sys, tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
OUT = os.path.abspath(sys.argv[1])
TMP = tempfile.mkdtemp()
LINES = open(os.path.join(HERE, "letter.txt"), encoding="utf-8").read().splitlines()
HEAD, FOOT = "N0WHO operating limitations", "Page {n} of {m}"
FONT = "/usr/share/fonts/truetype/liberation/LiberationSerif-Regular.ttf"


def out(name):
    return os.path.join(OUT, name + ".pdf")


def run(*words, **more):
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **more)


def libreoffice():
    import docx
    from docx.oxml import OxmlElement
    from docx.shared import Pt
    d = docx.Document()
    d.styles["Normal"].font.name, d.styles["Normal"].font.size = "Liberation Serif", Pt(13)
    d.sections[0].header.paragraphs[0].text = HEAD
    foot = d.sections[0].footer.paragraphs[0]
    for text, field in (("Page ", "PAGE"), (" of ", "NUMPAGES")):
        foot.add_run(text)
        for kind in ("begin", field, "end"):
            r = foot.add_run()._r
            if kind == field:
                e = OxmlElement("w:instrText"); e.text = field
            else:
                e = OxmlElement("w:fldChar"); e.set("{http://schemas.openxmlformats.org/wordprocessingml/2006/main}fldCharType", kind)
            r.append(e)
    for line in LINES:
        d.add_paragraph(line)
    d.save(f"{TMP}/letter.docx")
    run("soffice", "--headless", f"-env:UserInstallation=file://{TMP}/lo", "--convert-to", "pdf", "--outdir", TMP, f"{TMP}/letter.docx")
    shutil.move(f"{TMP}/letter.pdf", out("libreoffice"))


def reportlab(name="reportlab_base14", columns=1):
    from reportlab.lib.pagesizes import letter
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate, Paragraph
    w, h = letter
    gap = 20
    width = (w - 120 - gap * (columns - 1)) / columns
    pages = {"reportlab_base14": 2}.get(name, 1)

    def marks(c, d):
        c.setFont("Times-Roman", 9)
        c.drawString(60, h - 36, HEAD)
        c.drawRightString(w - 60, 30, FOOT.format(n=d.page, m=pages))

    frames = [Frame(60 + i * (width + gap), 50, width, h - 100, 0, 0, 0, 0) for i in range(columns)]
    doc = BaseDocTemplate(out(name), pagesize=letter, invariant=1)
    doc.addPageTemplates(PageTemplate(frames=frames, onPage=marks))
    size = 14 if columns == 1 else 10
    style = ParagraphStyle("x", fontName="Times-Roman", fontSize=size, leading=size * 1.25, spaceAfter=8)
    doc.build([Paragraph(html.escape(l), style) for l in LINES])


def fpdf2():
    from fpdf import FPDF
    p = FPDF(format="letter")
    p.add_font("L", "", FONT)
    p.set_font("L", size=14)
    p.add_page()
    for line in LINES:
        p.multi_cell(0, 7, line, new_x="LMARGIN", new_y="NEXT")
        p.ln(2)
    p.output(out("fpdf2"))


def typst():
    import typst
    quote = lambda s: "".join("\\" + c if c in "\\#$*_`<>@[]=-+/~\"'" else c for c in s)
    text = [f'#set page(paper: "us-letter", header: [{quote(HEAD)}], footer: context [Page #counter(page).display() of #counter(page).final().first()])',
            '#set text(size: 13pt, lang: "en")', "#set par(justify: true)"]
    text += [quote(l) + "\n" for l in LINES]
    open(f"{TMP}/l.typ", "w").write("\n".join(text))
    typst.compile(f"{TMP}/l.typ", output=out("typst"))


def pdftex():
    def quote(s):
        for a, b in (("\\", "\\textbackslash{}"), ("&", "\\&"), ("%", "\\%"), ("#", "\\#"), ("_", "\\_"), ("§", "\\S{}"), (' "', " ``"), ('"', "''")):
            s = s.replace(a, b)
        return s
    head = "\\documentclass[12pt,letterpaper]{article}\\usepackage[T1]{fontenc}\\usepackage[utf8]{inputenc}\\usepackage{lmodern,textcomp}\\usepackage[margin=30mm]{geometry}\\usepackage{fancyhdr}\\pagestyle{fancy}\\fancyhf{}\\lhead{" + HEAD + "}\\rfoot{Page \\thepage}\\parindent0pt\\parskip6pt\\begin{document}\n"
    open(f"{TMP}/l.tex", "w").write(head + "\n\n".join(map(quote, LINES)) + "\\end{document}\n")
    run("pdflatex", "-interaction=batchmode", f"-output-directory={TMP}", f"{TMP}/l.tex")
    shutil.copy(f"{TMP}/l.pdf", out("pdftex"))


def weasyprint():
    css = f'@page {{ size: letter; margin: 25mm; @top-left {{ content: "{HEAD}" }} @bottom-right {{ content: "Page " counter(page) " of " counter(pages) }} }} body {{ font: 13pt "Liberation Serif"; text-align: justify; hyphens: auto }}'
    body = "".join(f"<p>{html.escape(l)}</p>" for l in LINES)
    open(f"{TMP}/l.html", "w").write(f"<!doctype html><html lang=en><meta charset=utf-8><style>{css}</style><body>{body}</body></html>")
    run("weasyprint", f"{TMP}/l.html", out("weasyprint_hyphens"))


def groff():
    quote = lambda s: s.replace("\\", "\\e").replace("§", "\\(sc").replace("'", "\\(aq").replace('"', "\\(dq")
    text = [".pl 11i", ".ll 6i", ".po 1i", ".nr PS 13", ".ps 13", ".vs 16", ".nh"]
    for line in LINES:
        text += ["\\&" + quote(line), ".sp .5"]
    open(f"{TMP}/l.roff", "w").write("\n".join(text) + "\n")
    with open(f"{TMP}/l.ps", "wb") as f:
        subprocess.run(["groff", "-Tps", "-P-pletter", f"{TMP}/l.roff"], stdout=f, check=True)
    run("ps2pdf", f"{TMP}/l.ps", out("groff_ghostscript"))


def rewrites():
    word = out("libreoffice")
    run("gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=pdfwrite", f"-sOutputFile={out('ghostscript')}", word)
    run("pdftocairo", "-pdf", word, out("cairo"))
    run("mutool", "clean", "-gggz", out("fpdf2"), out("mutool"))
    run("qpdf", "--object-streams=generate", out("reportlab_base14"), out("qpdf_object_streams"))
    run("qpdf", "--encrypt", "", "owner", "256", "--", out("reportlab_base14"), out("qpdf_encrypted_no_password"))
    run("qpdf", "--encrypt", "secret", "owner", "256", "--", out("reportlab_base14"), out("qpdf_needs_password"))
    run("qpdf", out("reportlab_base14"), out("qpdf_upside_down"), "--rotate=+180:1-z")


os.makedirs(OUT, exist_ok=True)
for make in (libreoffice, reportlab, lambda: reportlab("reportlab_two_columns", 2), fpdf2, typst, pdftex, weasyprint, groff, rewrites):
    try:
        make()
    except Exception as error:
        print("left out:", make.__name__, repr(error)[:200])
