"""Writes the fourteen invented sample letters as plain text, laid out like office letters.

Pages are separated by form feeds; lines are wrapped at 78 columns. Needs pyphen for the one letter with hyphens.
usage: python make_text.py [OUTPUT_FOLDER]
"""
import pathlib
import sys
import textwrap

from letters import L, MARK

W = 78


def fill(text, first, rest, hyphen=False):
    if not hyphen:
        return textwrap.wrap(text, W, initial_indent=first, subsequent_indent=rest,
                             break_long_words=False, break_on_hyphens=True)
    import pyphen
    dic = pyphen.Pyphen(lang="en_US")
    lines, cur = [], first
    fresh = True
    for word in text.split():
        while True:
            sep = "" if fresh else " "
            if len(cur) + len(sep) + len(word) <= W:
                cur += sep + word
                fresh = False
                break
            room = W - len(cur) - len(sep) - 1
            cut = None
            if word.isalpha() or word[:-1].isalpha():
                for a, b in dic.iterate(word):
                    if 3 <= len(a) <= room and len(b) >= 4:
                        cut = (a, b)
                        break
            if cut:
                cur += sep + cut[0] + "-"
                word = cut[1]
            lines.append(cur)
            cur, fresh = rest, True
    lines.append(cur)
    return lines


def curly(text):
    out, opened = [], False
    for i, c in enumerate(text):
        if c == '"':
            out.append("\u201d" if opened else "\u201c")
            opened = not opened
        elif c == "'":
            out.append("\u2019")
        else:
            out.append(c)
    return "".join(out)


def blocks(letter):
    """Yields lists of lines; a blank line is set between them."""
    st = letter["style"]
    hy = st.get("hyphen", False)
    fix = curly if st.get("curly") else (lambda t: t)
    hang = " " * st["hang"]
    for it in letter["body"]:
        kind = it[0]
        if kind == "h":
            yield [it[1]]
        elif kind == "c":
            label = st["num"].format(it[1])
            first = label.ljust(st["hang"]) if st["hang"] > len(label) else label + " "
            yield fill(fix(it[2]), first, hang, hy)
        elif kind == "item":
            yield fill(fix(it[2]) + " (" + it[1] + ")", "", "", hy)
        elif kind == "s":
            yield fill(fix(it[2]), hang + it[1].ljust(4), hang + "    ", hy)
        elif kind == "ss":
            yield fill(fix(it[2]), hang + "    " + it[1].ljust(6), hang + "          ", hy)
        elif kind in ("p", "n"):
            yield fill(fix(it[1]), hang, hang, hy)
        elif kind == "t":
            yield fill(fix(it[1]), "", "", hy)


def render(letter):
    st = letter["style"]
    head = []
    for line in letter["head"]:
        head.append(line[1:].center(W).rstrip() if line.startswith("^") else line)
    lines = list(head)
    for b in blocks(letter):
        lines += b + [""]
    lines += letter["foot"]
    # pages
    per = st["lines"]
    if st["running"] is None:
        return MARK.center(W).rstrip() + "\n\n" + "\n".join(lines).rstrip() + "\n"
    pages, cur = [], []
    i = 0
    while i < len(lines):
        if len(cur) >= per:
            pages.append(cur)
            cur = []
        if not cur and not lines[i].strip():
            i += 1
            continue
        # no single first line of a paragraph at the foot of a page
        if len(cur) == per - 1 and lines[i].strip() and i + 1 < len(lines) and lines[i + 1].strip() and not lines[i - 1].strip():
            pages.append(cur)
            cur = []
            continue
        cur.append(lines[i])
        i += 1
    if cur:
        pages.append(cur)
    out, n = [], len(pages)
    for k, pg in enumerate(pages, 1):
        mark = f"Page {k} of {n}"
        side = st["side"]
        if side == "right":
            top = st["running"] + mark.rjust(W - len(st["running"]))
            bottom = MARK
        elif side == "left":
            top = st["running"] if k > 1 else ""
            bottom = MARK.ljust(W - len(mark)) + mark
        elif side == "center":
            top = st["running"].center(W).rstrip()
            bottom = f"- {k} -".center(W).rstrip() + "\n" + MARK.center(W).rstrip()
        else:
            top = (st["running"] if len(st["running"]) + len(mark) < W else st["running"][: W - len(mark) - 2])
            top = top + mark.rjust(W - len(top))
            bottom = MARK.rjust(W)
        while pg and not pg[-1].strip():
            pg.pop()
        body = pg + [""] * (per - len(pg) if k < n else 0)
        first = MARK.center(W).rstrip() + "\n\n" if k == 1 and not top else ""
        out.append(first + (top + "\n\n" if top else "") + "\n".join(body) + "\n\n" + bottom + "\n")
    return "\f".join(out)


def main():
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent.parent)
    for name, letter in L.items():
        text = render(letter)
        if MARK not in text.splitlines()[0]:
            text = MARK.center(W).rstrip() + "\n\n" + text
        assert max(len(x) for x in text.splitlines()) <= W + 1, name
        (folder / f"{name}.txt").write_text(text, encoding="utf-8")
        print(name, text.count("\f") + 1, "pages", len(text.splitlines()), "lines")


if __name__ == "__main__":
    main()
