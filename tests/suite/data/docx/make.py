"""Makes the word processor files of this folder: invented letters whose clause numbers exist only
as lists. Needs python-docx; run it in this folder. The letters are nobody's: the mark N0WHO is
impossible as a real one."""

from docx import Document
from docx.enum.text import WD_BREAK
from docx.oxml import parse_xml
from docx.oxml.ns import nsdecls, qn

W = nsdecls("w")


def level(at, form, text, start=1, extra=""):
    return (
        f'<w:lvl w:ilvl="{at}"><w:start w:val="{start}"/><w:numFmt w:val="{form}"/>{extra}'
        f'<w:lvlText w:val="{text}"/><w:lvlJc w:val="left"/></w:lvl>'
    )


def lists(document, abstracts, uses):
    """Replaces the lists of the template by our own."""
    numbering = document.part.numbering_part.element
    for child in list(numbering):
        numbering.remove(child)
    for number, levels in abstracts.items():
        body = "".join(levels)
        numbering.append(
            parse_xml(
                f'<w:abstractNum {W} w:abstractNumId="{number}">'
                f'<w:multiLevelType w:val="multilevel"/>{body}</w:abstractNum>'
            )
        )
    for number, (abstract, override) in uses.items():
        numbering.append(
            parse_xml(
                f'<w:num {W} w:numId="{number}"><w:abstractNumId w:val="{abstract}"/>'
                f"{override}</w:num>"
            )
        )


def numbered(paragraph, use, at=0):
    paragraph._p.get_or_add_pPr().append(
        parse_xml(
            f'<w:numPr {W}><w:ilvl w:val="{at}"/><w:numId w:val="{use}"/></w:numPr>'
        )
    )
    return paragraph


def style_list(document, name, use, at=None):
    style = document.styles[name]
    properties = style.element.get_or_add_pPr()
    for old in properties.findall(qn("w:numPr")):
        properties.remove(old)
    inner = "" if at is None else f'<w:ilvl w:val="{at}"/>'
    properties.append(
        parse_xml(f'<w:numPr {W}>{inner}<w:numId w:val="{use}"/></w:numPr>')
    )


def head(document):
    document.add_paragraph("INVENTED SAMPLE - not a real letter")
    document.add_paragraph("OPERATING LIMITATIONS")
    document.add_paragraph("EXPERIMENTAL, OPERATING AMATEUR-BUILT AIRCRAFT")
    table = document.add_table(rows=0, cols=2)
    for label, value in [
        ("Registration mark:", "N0WHO"),
        ("Purpose:", "14 CFR section 21.191(g), operating amateur-built aircraft"),
        ("Date of issue:", "May 14, 2008"),
    ]:
        cells = table.add_row().cells
        cells[0].text, cells[1].text = label, value


WHO = (
    "An experimental aircraft builder certificated as a repairman for this aircraft under "
    "§ 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition "
    "inspection required by these operating limitations."
)
WHEN = (
    "No person must operate this aircraft unless within the preceding 12 calendar months it has "
    "had a condition inspection performed in accordance with the scope and detail of appendix D "
    "to part 43, and was found to be in a condition for safe operation."
)


def clauses():
    document = Document()
    lists(
        document,
        {
            0: [
                level(0, "decimal", "(%1)"),
                level(1, "lowerLetter", "(%2)"),
                level(2, "lowerRoman", "(%3)"),
            ],
            1: [
                level(0, "decimal", "%1.", extra='<w:pStyle w:val="ListNumber"/>'),
                level(1, "upperLetter", "%1.%2", extra='<w:pStyle w:val="ListNumber2"/>'),
            ],
        },
        {
            1: (0, ""),
            2: (0, '<w:lvlOverride w:ilvl="0"><w:startOverride w:val="22"/></w:lvlOverride>'),
            3: (1, ""),
        },
    )
    style_list(document, "List Number", 3)
    style_list(document, "List Number 2", 3, 1)
    section = document.sections[0]
    section.header.paragraphs[0].text = "Operating Limitations, N0WHO"
    section.footer.paragraphs[0].text = "Sample Flight Standards District Office"
    head(document)
    add = document.add_paragraph
    numbered(add("No person may operate this aircraft for carrying persons or property for compensation or hire."), 1)
    numbered(add("During phase I flight testing:"), 1)
    numbered(add("all flights must be conducted within 25 nautical miles of Sample Field;"), 1, 1)
    numbered(add("no person may be carried who is not essential to the flight, except"), 1, 1)
    numbered(add("a second pilot;"), 1, 2)
    numbered(add("an observer."), 1, 2)
    numbered(add("This aircraft must be operated under VFR, day only."), 1)
    numbered(add("The restart of the letters is shown by"), 1)
    numbered(add("this item, which is (a) again."), 1, 1)
    broken = add("This paragraph has no number and ends a page.")
    broken.add_run().add_break(WD_BREAK.PAGE)
    numbered(add(WHEN), 2)
    numbered(add("Condition inspections must be recorded in the aircraft maintenance records."), 2)
    add("Additional limitations", style="Heading 1")
    add("The pilot in command must hold a pilot certificate.", style="List Number")
    add("for the category;", style="List Number 2")
    add("for the class.", style="List Number 2")
    add(WHO, style="List Number")
    document.save("clauses.docx")


def changes():
    document = Document()
    lists(document, {0: [level(0, "decimal", "%1)")]}, {1: (0, "")})
    head(document)
    add = document.add_paragraph
    numbered(add(WHEN), 1)
    who = numbered(add("A certificated mechanic "), 1)
    who._p.append(
        parse_xml(
            f'<w:del {W} w:id="1" w:author="a"><w:r><w:delText>only </w:delText></w:r></w:del>'
        )
    )
    who._p.append(
        parse_xml(f'<w:ins {W} w:id="2" w:author="a"><w:r><w:t>may</w:t></w:r></w:ins>')
    )
    who.add_run(" perform the condition inspection required by these operating limitations.")
    hidden = who.add_run(" Hidden: nobody may.")
    hidden.font.hidden = True
    first = numbered(add("This aircraft must display the word "), 1)
    first._p.get_or_add_pPr().append(
        parse_xml(f'<w:rPr {W}><w:del w:id="3" w:author="a"/></w:rPr>')
    )
    numbered(add("EXPERIMENTAL near each entrance."), 1)
    gone = numbered(add(""), 1)
    gone._p.get_or_add_pPr().append(
        parse_xml(f'<w:rPr {W}><w:del w:id="4" w:author="a"/></w:rPr>')
    )
    gone._p.append(
        parse_xml(
            f'<w:del {W} w:id="5" w:author="a"><w:r><w:delText>An owner may inspect.'
            "</w:delText></w:r></w:del>"
        )
    )
    numbered(add("The pilot must advise each person carried of the experimental nature."), 1)
    symbol = add("Mark: ")
    symbol.add_run()._r.append(
        parse_xml(f'<w:sym {W} w:font="Wingdings" w:char="F0FE"/>')
    )
    document.save("changes.docx")


clauses()
changes()
