"""Writes answers.jsonl and README.md. The answers are entered here by hand, kind by kind, from the normative table of
the trade notes; no program worked them out. Only the page of the who-clause is looked up in the files themselves.

usage: python make_answers.py [OUTPUT_FOLDER]    (needs pdftotext for the pages of the PDFs)
"""
import json
import pathlib
import subprocess
import sys

KINDS = ["builder-repairman", "mechanic", "repair-station", "light-sport-repairman-inspection",
         "light-sport-repairman-maintenance", "general-repairman", "manufacturer", "owner"]


def a(answer, key2, because=None, if_met=None, by=()):
    return {"answer": answer, "open_because": because, "if_met": if_met or answer, "key2": key2, "settled_by": list(by)}


YES = a("yes", "named")
NO_UNLISTED = a("no", "unlisted")
SHUT = a("no", "shut-out")
UNLISTED = a("disputed", "unlisted", "law")                      # the rule says yes, an open list lacks the kind
LSRI_UNLISTED = a("undetermined", "unlisted", "fact", "disputed", ["owner", "trained"])
LSRM_UNLISTED = a("undetermined", "unlisted", "fact", "disputed", ["trained"])
NOTHING = a("undetermined", None, "text")

OPEN_GA = [YES, YES, UNLISTED, LSRI_UNLISTED, LSRM_UNLISTED, NO_UNLISTED, NO_UNLISTED, NO_UNLISTED]

# file stem: basis, issued, who clause, a phrase of it (to find its page), form, eight answers, text for the README
ROWS = {
    "open-list-f": ("g", "2008-05-14", ["26"], "as a repairman for this", "open", OPEN_GA,
        "Amateur-built, the F family of 2008: full set of 28 clauses, numbers at the head in parentheses, `(26)` names the builder repairman and the mechanic with `may`.",
        "`(1)` cites § 91.319(e), today (i); `may only` in `(5)` binds a place; `(16)` is not applicable and `(24)` is left out on purpose; `(22)` has `No person must operate`."),
    "open-list-g": ("g", "2012-09-14", ["26"], "as a repairman for this", "open", OPEN_GA,
        "Amateur-built, the G style of 2012: clauses `1.` to `27.` with section headings, second owner.",
        "`16. N/A`, `24. N/A`, `25. N/A`; phase 1, phase I mixed; the same words as F with `14 CFR` in front of the section sign."),
    "k-style-online": ("g", "2025-11-12", ["11"], "issued under", "open", OPEN_GA,
        "Amateur-built, made on line in November 2025: running numbers `[1]` to `[15]`, the list in words of our own.",
        "Issued after 2025-10-22, before the order that names a light-sport repairman: outside the words of the regulator's NOTE, and unlisted all the same. `[10]` has a template blank left unfilled."),
    "closed-list": ("g", "1999-06-03", ["10"], "holds a repairman certificate issued for this", "closed",
        [YES, YES, SHUT, SHUT, SHUT, SHUT, SHUT, SHUT],
        "Amateur-built, 1999: the inspection `must be performed by` the builder repairman or a mechanic with both ratings.",
        "`The owner shall have the inspection done` in 9 names no inspector; `Only` in 15 binds a seat."),
    "repair-stations": ("g", "1993-08-17", ["13"], "appropriately rated repair station", "open",
        [YES, YES, YES, LSRI_UNLISTED, LSRM_UNLISTED, NO_UNLISTED, NO_UNLISTED, NO_UNLISTED],
        "Amateur-built, in the manner of about 1993 (`shall`, `FAR`): builder, mechanic with Airframe and Powerplant rating, repair station.",
        "Phase headings in capitals; page numbers at the foot only."),
    "exhibition-only": ("d", "2009-04-22", ["16"], "Only FAA-certificated repair", "closed",
        [SHUT, YES, YES, SHUT, SHUT, SHUT, SHUT, SHUT],
        "Exhibition, a piston trainer of an air force that never was: `Only` repair stations and mechanics `as authorized by § 43.3`.",
        "`(Applicability: ...)` tags, which are no numbers; clause 16 speaks of all `inspections required by these operating limitations`; the head says that no other airworthiness certificate was issued, so part 43 is off and § 43.3 speaks only through the letter."),
    "light-sport": ("i", "2008-07-09", ["11"], "An owner certificated as a repairman", "open",
        [a("disputed", "unlisted", "law"), YES, UNLISTED,
         a("undetermined", "named", "fact", "yes", ["owner", "trained", "certificate-for"]),
         a("undetermined", "named", "fact", "yes", ["owner", "trained", "certificate-for"]),
         NO_UNLISTED, NO_UNLISTED, NO_UNLISTED],
        "Experimental light-sport, § 21.191(i)(2), weight-shift-control, 2008: an owner certificated as a repairman for this aircraft under § 65.107, or a rated mechanic.",
        "Two conditions of the letter on the repairman (owner; for this aircraft) come on top of those of the rule, and bind the maintenance rating too; lists of Phase 1 and Phase 2 limitations at the end."),
    "names-nobody": ("g", "1984-05-11", [], None, "none",
        [a("yes", "silent"), a("yes", "silent"), a("yes", "silent"),
         a("undetermined", "silent", "fact", "disputed", ["owner", "trained"]),
         a("undetermined", "silent", "fact", "disputed", ["trained"]),
         a("no", "silent"), a("no", "silent"), a("undetermined", "silent", "law")],
        "Amateur-built, half a page of 1984: a yearly inspection, and no word on who does it.",
        "No `condition inspection`, only `an inspection to the scope and detail of FAR 43, Appendix D`."),
    "contradiction": ("g", "2002-10-02", ["9", "14"], "Only FAA-certificated mechanics", "closed",
        [a("undetermined", "unclear", "text"), a("undetermined", "unclear", "text"), SHUT, SHUT, SHUT, SHUT, SHUT, SHUT],
        "Amateur-built, 2002: clause 9 has the yearly inspection done by the builder repairman alone, clause 14 by mechanics alone.",
        "Two closed lists that shut each other out: nobody can satisfy both. Whoever is in neither list is shut out under each of them, so the answer for those is certain."),
    "numbers-at-end": ("g", "2026-02-18", ["18"], "light-sport repairman in", "open",
        [YES, YES, UNLISTED,
         a("undetermined", "named", "fact", "yes", ["owner", "trained"]),
         a("undetermined", "named", "fact", "yes", ["trained"]), NO_UNLISTED, NO_UNLISTED, NO_UNLISTED],
        "Amateur-built, February 2026: the number of the standard limitation stands at the END of the clause, and `(18)` names a light-sport repairman.",
        "Another date (`June 2011`) stands in the head: it is that of the letter replaced. Item numbers other than 15, 42 and 53, and all of the text of 18, are ours. The who-clause is cut by the page break. The PDF is in two columns."),
    "open-and-100-hour": ("a", "2026-03-09", ["8"], "FAA-certificated repair stations and", "open",
        [a("disputed", "unlisted", "law"), YES, YES, NO_UNLISTED, NO_UNLISTED, NO_UNLISTED, NO_UNLISTED, NO_UNLISTED],
        "Research and development, a prototype without type certificate, 2026: an open clause for the yearly inspection, and `must be performed by` a mechanic for the 100-hour inspection.",
        "Clause 9 is about another inspection and no contradiction. The certificate's own term ends on 2027-03-08 (the second date of the head)."),
    "lettered": ("g", "2014-10-06", ["11"], "Who may inspect", "open",
        [YES, YES, YES, LSRI_UNLISTED, LSRM_UNLISTED, NO_UNLISTED, NO_UNLISTED, a("no", "excluded")],
        "Amateur-built, 2014, laid out by somebody who likes sub-items: letters and small roman numbers, paragraphs without a number that belong to the clause above, Notes.",
        "In the text file the list of clause 11 is cut from its lead-in by the page break, and words are divided at line ends; curly quotes. A co-builder and an owner `as such` are shut out by name; a Note denies the need of an inspection authorization and carries a duty."),
    "not-a-letter": (None, None, [], None, "none", [NOTHING] * 8,
        "A page of an invented club bulletin about inspections: no letter.",
        "It has `may`, `must`, `mechanic` and quotation marks, and settles nothing."),
    "light-sport-category": (None, "2012-05-30", ["4"], "condition inspection is performed once", "closed",
        [SHUT, YES, YES, SHUT, a("undetermined", "named", "fact", "yes", ["trained"]), SHUT, SHUT, SHUT],
        "A paper of the light-sport CATEGORY (§ 21.190): a US letter of operating limitations, but no experimental one.",
        "§ 91.327(b)(2) closes the list, and clause 4 repeats it. No § 21.191 basis."),
}

HUNDRED = [SHUT, YES, SHUT, SHUT, SHUT, SHUT, SHUT, SHUT]

DEBATABLE = {
    "light-sport-category": {"light-sport-repairman-maintenance": "the normative table has a plain `yes` in this row; § 65.109(b)(3) makes the category trained for a condition, and it is not given: entered as open fact"},
    "contradiction": {k: "each list alone shuts this kind out: entered as certain `no`; a program that calls the whole list unclear would say undetermined (text)" for k in KINDS[2:5]},
    "light-sport": {"light-sport-repairman-maintenance": "the letter's word `owner` is a condition of the letter although the rule asks for no ownership; without it the kind is unlisted and the answer disputed",
                    "light-sport-repairman-inspection": "a card that lists no aircraft leaves `for this aircraft` unsettled even when the facts are given"},
    "open-and-100-hour": {"builder-repairman": "§ 65.104 is not limited to (g) by its text, the certificates are issued for amateur-built aircraft: law open, hence disputed, though unlikely in practice"},
    "not-a-letter": {k: "open_because `text` stands for: no letter was read; `null` would be as good" for k in KINDS},
}

PDFS = {"open-list-f": ("make/make_pdf_reportlab.py", "reportlab"), "numbers-at-end": ("make/make_pdf_weasyprint.py", "weasyprint"),
        "lettered": ("make/make_pdf_typst.py", "typst")}
BASIS = {"g": "g (amateur-built)", "i": "i (light-sport)", "d": "d (exhibition)", "a": "a (research and development)", None: "none"}


def pages_of(path):
    if path.suffix == ".pdf":
        out = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True).stdout
        return out.rstrip("\f").split("\f")
    return path.read_text(encoding="utf-8").split("\f")


def find_page(pages, phrase):
    want = " ".join(phrase.split())
    hits = [n for n, p in enumerate(pages, 1) if want in " ".join(p.replace("\ufb01", "fi").split())]
    assert hits, phrase
    return hits[-1]


def cell(x):
    return x if x is not None else "-"


def main():
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent.parent)
    rows, parts = [], []
    for stem, (basis, issued, who, phrase, form, ans, scene, props) in ROWS.items():
        assert len(ans) == 8
        files = [stem + ".txt"] + ([stem + ".pdf"] if stem in PDFS else [])
        answers = dict(zip(KINDS, ans))
        where = []
        for f in files:
            pg = pages_of(folder / f)
            who_page = find_page(pg, phrase) if phrase else None
            row = {"file": f, "basis": basis, "issued": issued, "is_letter": stem != "not-a-letter", "who_clause": who, "who_page": who_page,
                   "pages": len(pg), "form": form, "on": "2026-11-25", "inspection": "yearly", "answers": answers}
            if stem == "light-sport-category":
                row["category"] = "light-sport"
            if stem == "open-and-100-hour":
                row["other_inspections"] = {"100-hour": {"who_clause": ["9"], "form": "closed", "answers": dict(zip(KINDS, HUNDRED))}}
            if stem in DEBATABLE:
                row["debatable"] = DEBATABLE[stem]
            rows.append(row)
            where.append((f, len(pg), who_page))
        parts.append(f"### {stem}\n\n{scene}\n\n* Made by: `make/make_text.py` (Python 3.11)" + (f"; the PDF by `{PDFS[stem][0]}` ({PDFS[stem][1]} {VERSIONS[PDFS[stem][1]]})" if stem in PDFS else "") + ".")
        parts.append(f"* Basis: {BASIS[basis] if stem != 'light-sport-category' else 'none (light-sport category)'}; issued: {issued or 'no date'}; form of the list: {form}.")
        if who:
            parts.append("* Who-clause: " + " and ".join(who) + "; " + "; ".join(f"`{f}`: {n} page{'s' if n > 1 else ''}, clause on page {p}" for f, n, p in where) +
                         (" (clause 9 is on page 1)" if stem == "contradiction" else "") + ("; it runs on to page 2" if stem == "numbers-at-end" else "") +
                         ("; its list runs on to page 3 in the text, its Note in the PDF" if stem == "lettered" else "") + ".")
        else:
            parts.append("* Who-clause: none; " + "; ".join(f"`{f}`: {n} page{'s' if n > 1 else ''}" for f, n, p in where) + ".")
        parts.append(f"* Worth a look: {props}\n")
        parts.append("| kind | answer | open_because | if_met | key 2 | settled by |\n|---|---|---|---|---|---|")
        for k in KINDS:
            x = answers[k]
            parts.append(f"| {k} | **{x['answer']}** | {cell(x['open_because'])} | {x['if_met']} | {cell(x['key2'])} | {', '.join(x['settled_by']) or '-'} |")
        if stem == "open-and-100-hour":
            parts.append("\nFor the **100-hour** inspection (clause 9, closed): mechanic **yes** (named); every other kind **no** (shut-out).")
        for k, v in DEBATABLE.get(stem, {}).items():
            if stem in ("not-a-letter", "contradiction") and k != list(DEBATABLE[stem])[0]:
                continue
            who_ = "all kinds" if stem == "not-a-letter" else "repair station, light-sport repairmen" if stem == "contradiction" else k
            parts.append(f"\nDebatable ({who_}): {v}.")
        parts.append("")
    (folder / "answers.jsonl").write_text("".join(json.dumps(r, ensure_ascii=False) + "\n" for r in rows), encoding="utf-8")
    (folder / "README.md").write_text(INTRO + "\n" + "\n".join(parts).rstrip() + "\n", encoding="utf-8")
    print(len(rows), "rows")


VERSIONS = {"reportlab": "5.1.0", "weasyprint": "70.0", "typst": "0.15.2, Python package"}

INTRO = """# Sample letters

**Everything here is invented.** No letter, aircraft, owner, builder, inspector, office, place, serial number or registration mark is real; the marks (`N0WHO` ...)
cannot be real ones: a real mark has no zero after the N and no letter O. Each file says `INVENTED SAMPLE - not a real letter` at its top or foot.
Some clauses have the wording that the FAA prescribed in Order 8130.2 (a work of the US Government), as far as it was quoted publicly; the others are our own
sentences in the same manner. In `repair-stations`, `exhibition-only`, `open-and-100-hour` and `light-sport` the who-clause follows a wording known from memory only and
unverified: good for a test, not a reference. The same is true of the citation habits of the letters before 1990.

Text files are UTF-8 with form feeds between pages, at most 78 columns. `make/` remakes everything (see `make/README.md`).

## The right answers

For each file the bare question: **no fact given but what the letter itself says, on 2026-11-25, for the yearly inspection**. Worked out by hand:
key 1 is the rule (may this kind of person do it at all), key 2 is the letter. The same in `answers.jsonl`, one line a file, the PDFs too.

* A kind carries its identity: the builder repairman holds the certificate for THIS aircraft, the mechanic both ratings, the repair station is rated for the aircraft.
* `if_met`: the answer when all open facts turn out well. `settled by`: the facts that are open. `owner` = the person owns the aircraft; `trained` = trained for this aircraft's category
  (and class, where it applies), which the head of each letter gives; `certificate-for` = an old light-sport card lists this aircraft.
* `open_because` of a `disputed` answer is `law`: the rule says yes and the letter's open list lacks the kind, or the rule itself is unsettled.
* A light-sport repairman has nothing from the rule on (a) and (d), so there `no` needs no facts; on a closed list that lacks him, neither.
* For the general repairman, the manufacturer and the owner the rule gives nothing under any list: `no`. Only where no clause says who, the owner is `undetermined`.

| file | basis | issued | list | builder | mechanic | repair station | LS inspection | LS maintenance | general, manufacturer | owner |
|---|---|---|---|---|---|---|---|---|---|---|
"""


def short(x):
    s = x["answer"]
    return s if s == x["if_met"] else f"{s}, if met {x['if_met']}"


for stem, (basis, issued, who, phrase, form, ans, scene, props) in ROWS.items():
    name = stem + (" (txt, pdf)" if stem in PDFS else "")
    INTRO += f"| {name} | {basis or '-'} | {issued or '-'} | {form} | " + " | ".join(short(ans[i]) for i in (0, 1, 2, 3, 4, 5, 7)) + " |\n"
    assert ans[5]["answer"] == ans[6]["answer"]

if __name__ == "__main__":
    main()
