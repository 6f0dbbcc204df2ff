#!/usr/bin/env python3
"""Words that decide, read wrong without a doubt: measured on made lines that the reader never saw.

    python3 tests/bench/lines.py make DATA PAGES [LINES [PART PARTS [SEED]]]    pages of lines, and clean pages of letters
    python3 tests/bench/lines.py read READER PAGES FILE [JOBS]           each page through the program, into FILE
    python3 tests/bench/lines.py score PAGES FILE [LEGIBLE]              the figures

DATA is what `train/render.py` makes its lines from (fonts/held, fonts/hand, far, english, words.txt); READER is the bench
`reading`, which shows the doubts of a page (`cargo bench --bench reading --no-run` says where it stands). `make` needs
torch, numpy and Pillow, and uses a GPU where there is one; PARTS of it run side by side (16 for the figures below).

Lines are those of the recipe, of the held-back fonts and the held-back tenth of the text only. Forty stand on a page, in
one font, at the distances of a typed page; half of the pages are turned by up to .5 degrees. Damage is that of
`augment.py`, the same for a whole page: its own mixture (`degrade`, a quarter), one kind put together from its parts, or
none. A line is past reading where the correlation of its shade with its ink, over the pixels of its own box, is below
LEGIBLE, or its type is less than LEAST pixels high from the top of its high letters to the bottom of its long ones;
neither looks at what the reader makes of it. LEGIBLE was set by eye on pictures of lines, after a
first scoring with .5: below it letters are missing.

A word decides if it stands in a list of `patterns/slip` (deciding-words, deciding-persons), or is the number of a section
of a part in `patterns/citation/known-parts.toml` (`bare`). It is wrong where it, or what stands in its place, is another
one: read as another word, lost with a piece of its line, or read twice. It is doubted where a doubt below CERTAIN (as in
`src/understand/findings/doubt.rs`) touches what was read, or stands beside the place of a word that was not read.

2026-11-30, 19,937 lines on 500 pages and 19,912 on 500 others, about a tenth past reading. Plain lines: 3,887 words, 58 wrong, 10 of
them without a doubt (4 read as another, 6 lost): 1 in 389, where 1 in 2,000 is wanted (1 in 78 before). 31 clean pages of
letters: 723 words, none wrong. `src/read/models/README.md` has the rest.
"""
import bisect, difflib, json, os, random, re, subprocess, sys, tomllib
from concurrent.futures import ThreadPoolExecutor

HERE = os.path.dirname(os.path.abspath(__file__)); ROOT = os.path.join(HERE, '..', '..')
CERTAIN, LEGIBLE, LEAST = .9, .65, 14
TRIED = .85, CERTAIN, .95, .98, 1   # thresholds
KINDS = ('clean', 'scan', 'copy', 'fax', 'photo', 'noisy', 'mixture', 'mixture')
LINES, WIDE, HIGH, SIDE, HEAD = 40, 1930, 2500, 70, 130   # pixels at 222 dpi: type of 34 rows, eleven inches and a bit


# ---- pages

def watched(texts, render):
    """Tells of each line what the recipe did to it: letters changed for others that look like them or in size (`changed`),
    a stamp, a signature, a cell of a table or a stroke through it (`marred`), a stroke below it (`lined`)."""
    from PIL import ImageDraw
    said = set()
    def tell(of, name, what):
        was = getattr(of, name)
        def told(*given): said.add(what); return was(*given)
        setattr(of, name, told)
    for name in ('alike', 'cased'): tell(texts, name, 'changed')
    for name in ('over', 'cell'): tell(render, name, 'marred')
    class Told(ImageDraw.ImageDraw):
        def line(self, xy, *given, **more):
            said.add('marred' if xy[0][1] < 40 else 'lined')   # through the letters, or below them
            super().line(xy, *given, **more)
    render.ImageDraw = type('', (), {'Draw': staticmethod(lambda im: Told(im))})
    return said

def one_face(faces, rng):
    """One font and size for a page."""
    pick = type(faces).pick(faces); faces.pick = lambda: pick
    return pick

def page_of(texts, faces, rng, render, said):
    """Ink of a page, the number of the line for each pixel of its box, and the lines."""
    import numpy as np
    ink = np.zeros((HIGH, WIDE), np.uint8); box = np.zeros((HIGH, WIDE), np.uint8); lines = []
    file = one_face(faces, rng)[0]; pitch = round(34 * rng.choice([1.15, 1.15, 1.25, 1.4])); y, low = HEAD, 0
    while len(lines) < LINES:
        said.clear()
        made = render.picture(texts.line(), '', '', faces, rng)
        if not made or made[1].shape[1] > WIDE - SIDE - 10: continue
        text, pic, rows = made; inked = np.nonzero(pic.max(1))[0]
        # what reaches above or below the type (rules of a table, a stamp) has a place of its own
        above = max(0, render.TOP - 2 - int(inked[0])); below = max(0, int(inked[-1]) - render.BOTTOM - 4)
        y = max(y, low + 4 - int(inked[0])) if above or low > y + render.TOP - 4 else y
        if y + 64 + 60 > HIGH: break
        at = slice(y, y + 64), slice(SIDE, SIDE + pic.shape[1])
        ink[at] = np.maximum(ink[at], pic)
        box[y + max(rows[0], render.TOP - 4):y + min(rows[1], render.BOTTOM + 4), at[1]] = len(lines) + 1
        lines.append(dict(text=text, changed='changed' in said, marred='marred' in said, lined='lined' in said, y=y)); low = y + int(inked[-1]) if below else 0
        y += pitch if rng.random() < .85 else 2 * pitch
    return ink, box, lines, os.path.basename(file)

def damaged(x, kind, r, A, torch, F):
    """Ink (1, 1, h, w), 0..1 → shade 0 (dark) .. 1 (paper), in its own resolution."""
    d = x.device; size = lambda f, g=None: F.interpolate(x, (round(x.shape[2] * (g or f)), round(x.shape[3] * f)), mode='area')
    noise = lambda t: torch.randn_like(t)
    if kind in ('clean', 'letter'): return 1 - x
    if kind == 'mixture':
        rows, blur = x.shape[2] / 48, A.blur   # `degrade` takes the width of a blur from the height of a line
        A.blur = lambda t, s: blur(t, s / (t.shape[2] / 48) * max(.5, t.shape[2] / 48 / rows))
        try: return A.degrade(A.weight(x))
        finally: A.blur = blur
    if kind == 'scan':
        x = A.blur(size(r.uniform(.85, 1.35)), r.uniform(.4, .8)); return x * -r.uniform(.75, 1) * (p := r.uniform(.85, 1)) + p + .03 * noise(x)
    if kind == 'copy':   # one to three generations
        x = A.weight(x)
        for _ in range(r.choice([1, 2, 3])):
            x = A.blur(x, r.uniform(.4, 1.0)) + .06 * noise(x); x = (x > r.uniform(.34, .62)).float()
            x = torch.where(torch.rand_like(x) < r.uniform(0, .004), 1 - x, x)
        return 1 - x
    if kind == 'fax':    # about 200 by 100 dpi, or by 200; rows doubled as a receiver prints them
        half = r.random() < .6
        x = A.blur(size(.9), .5); x = size(1, .5) if half else x
        y = (1 - x + .05 * noise(x) > r.uniform(.38, .62)).float(); y = torch.where(torch.rand_like(y) < r.uniform(0, .004), 1 - y, y)
        if r.random() < .4: y = torch.maximum(y, (torch.rand(1, 1, y.shape[2], 1, device=d) < .02).float())
        return y.repeat_interleave(2, 2) if half else y
    if kind == 'photo':  # flat, unevenly lit, JPEG
        x = A.blur(size(r.uniform(.75, 1.2)), r.uniform(.5, 1.0)); light = .5 * A.smooth(1, x.shape[2], x.shape[3], d, 700, 700) + .5
        return A.jpeg(((1 - x * r.uniform(.55, .85)) * light * r.uniform(.7, 1) + .03 * noise(x)).clamp(0, 1), A.U(1, .01, .04, d))
    x = A.blur(size(.68), r.uniform(.3, .6))   # noisy: 150 dpi
    return A.jpeg(((1 - x * .85) * .9 + r.uniform(.05, .1) * noise(x)).clamp(0, 1), A.U(1, .01, .03, d))

def readable(shade, ink, box, count, np):
    """For each line the correlation of its shade with its ink, and the height of its type in pixels."""
    from PIL import Image
    h, w = shade.shape
    small = np.asarray(Image.fromarray(ink).resize((w, h), Image.BOX), np.float64).ravel() / 255
    label = np.asarray(Image.fromarray(box).resize((w, h), Image.NEAREST)).ravel(); dark = 1 - shade.ravel().astype(np.float64) / 255
    s = lambda v: np.bincount(label, v, count + 1)
    n = np.maximum(s(np.ones_like(dark)), 1); mx, my = s(dark) / n, s(small) / n
    r = (s(dark * small) / n - mx * my) / np.sqrt(np.maximum((s(dark ** 2) / n - mx ** 2) * (s(small ** 2) / n - my ** 2), 1e-12))
    return [round(float(c), 3) for c in r[1:]], round(34 * h / HIGH, 1)

def keep(folder, name, ink, box, lines, kind, font, rng, seed):
    import numpy as np, torch, torch.nn.functional as F, augment as A
    from PIL import Image
    turn = rng.uniform(-.5, .5) if kind != 'letter' and rng.random() < .5 else 0
    if turn: ink = np.asarray(Image.fromarray(ink).rotate(turn, Image.BICUBIC)); box = np.asarray(Image.fromarray(box).rotate(turn, Image.NEAREST))
    d = 'cuda' if torch.cuda.is_available() else 'cpu'; torch.manual_seed(seed)
    with torch.no_grad(): x = damaged(torch.from_numpy(ink.copy()).to(d).float().view(1, 1, *ink.shape) / 255, kind, rng, A, torch, F)
    shade = (x.clamp(0, 1)[0, 0] * 255).round().to(torch.uint8).cpu().numpy()
    r, high = readable(shade, ink, box, len(lines), np)
    for line, c in zip(lines, r): line['legible'] = c
    Image.fromarray(shade).save(f'{folder}/{name}.png', compress_level=1)
    json.dump(dict(kind=kind, font=font, turn=round(turn, 2), high=high, lines=lines), open(f'{folder}/{name}.json', 'w'))

def letters(folder, faces, files, render, part, parts):
    """The sample letters, clean, each in one of the held-back fonts."""
    import numpy as np
    from PIL import Image, ImageDraw
    n = 0
    for k, file in enumerate(files):
        for p, text in enumerate(open(file, encoding='utf-8').read().split('\f')):
            rows = text.rstrip().split('\n')
            n += 1
            if len(rows) < 8 or n % parts != part: continue
            faces.r.seed(n); type(faces).pick(faces)
            while True:
                f, g, base, cmap = type(faces).pick(faces)
                if max(g.getlength(t) for t in rows) < WIDE - 2 * SIDE: break
            high = max(HIGH, 2 * HEAD + 41 * len(rows)); im = Image.new('L', (WIDE, high)); d = ImageDraw.Draw(im); box = np.zeros((high, WIDE), np.uint8); lines = []
            for i, t in enumerate(rows):
                t = ''.join(c if c in cmap else render.SUBST.get(c, c) for c in t.rstrip())
                d.text((SIDE, HEAD + 41 * i + base), t, fill=255, font=g, anchor='ls')
                if t.strip(): lines.append(dict(text=t.strip(), changed=False, marred=False, lined=False)); box[HEAD + 41 * i + 15:HEAD + 41 * i + 49] = len(lines)
            keep(folder, f'letter-{os.path.basename(file)[:-4]}-{p}', np.asarray(im), box, lines, 'letter', os.path.basename(f), random.Random(n), n)

def make(data, folder, count=20000, part=0, parts=1, seed=90210):
    os.environ['OCRDATA'] = os.path.abspath(data); os.makedirs(folder, exist_ok=True)
    sys.path.insert(0, os.path.join(ROOT, 'src/read/models/train'))
    import render, torch; torch.set_num_threads(1)
    rng = random.Random(seed + part); texts, faces = render.Texts(rng, True), render.Faces(rng, True)
    said = watched(texts, render)
    samples = sorted(os.path.join(ROOT, 'samples', f) for f in os.listdir(os.path.join(ROOT, 'samples')) if f.endswith('.txt'))
    letters(folder, render.Faces(random.Random(1), True), samples, render, part, parts)
    for n in range(part, -(-count // LINES), parts):
        ink, box, lines, font = page_of(texts, faces, rng, render, said)
        keep(folder, f'{n:04}', ink, box, lines, KINDS[n % len(KINDS)], font, rng, n + seed - 90210)

# ---- reading

def read(reader, folder, out, jobs=0):
    files = sorted(os.path.join(folder, f) for f in os.listdir(folder) if f.endswith('.png')); jobs = jobs or os.cpu_count() or 1
    run = lambda some: subprocess.run([reader, '--doubts', *some], capture_output=True, text=True)
    with ThreadPoolExecutor(jobs) as pool, open(out, 'w') as to:
        for done in pool.map(run, [files[i:i + 8] for i in range(0, len(files), 8)]):
            to.write(done.stdout)
            if done.returncode or done.stderr: sys.stderr.write(done.stderr)

# ---- score

def slips(name): return set(tomllib.load(open(f'{ROOT}/patterns/slip/{name}.toml', 'rb'))['slip']['words'])
DECIDING = slips('deciding-words') | slips('deciding-persons')
PARTS = '|'.join(map(str, tomllib.load(open(f'{ROOT}/patterns/citation/known-parts.toml', 'rb'))['bare']))
NUMBER = re.compile(rf'(?<![\d.])(?:{PARTS})\.\d{{1,4}}(?![\d.]*\d)')

def deciding(piece):
    """The words in a piece between blanks that decide, in lower case, and the numbers of rules."""
    return [w for w in re.findall(r'[^\W_]+', piece.lower()) if w in DECIDING] + NUMBER.findall(piece)

DASHES = '-–—'   # at the end of a line

class Page:
    """The words of a text with the least confidence of each."""
    def __init__(self, told):
        content = told['content']; ends, at = [0], 0
        for c in content: at += len(c.encode()); ends.append(at)
        spans = [(m.group(), ends[m.start()], ends[m.end()]) for m in re.finditer(r'\S+', content)]
        self.words, self.least, self.starts = [w for w, _, _ in spans], [1.] * len(spans), [a for _, a, _ in spans]
        self.doubts = told['doubts']
        for a, b, c, _ in told['doubts']:
            for k in range(max(0, bisect.bisect_right(self.starts, a) - 1), len(spans)):
                if spans[k][1] >= b: break
                if spans[k][2] > a: self.least[k] = min(self.least[k], c)

def likeness(a, b): return difflib.SequenceMatcher(None, a.lower(), b.lower(), autojunk=False).ratio()

def blocks(a, b):
    """Pairs of places of words that belong together, one of them None where a word has no like."""
    if not a or not b: return [(i, None) for i in range(len(a))] + [(None, j) for j in range(len(b))]
    cost = [[0] * (len(b) + 1) for _ in range(len(a) + 1)]
    for i in range(len(a) + 1):
        for j in range(len(b) + 1):
            if not i or not j: cost[i][j] = i + j; continue
            like = 0 if a[i - 1] == b[j - 1] else 1.9 - 1.5 * likeness(a[i - 1], b[j - 1])
            cost[i][j] = min(cost[i - 1][j] + 1, cost[i][j - 1] + 1, cost[i - 1][j - 1] + like)
    i, j, out = len(a), len(b), []
    while i or j:
        if i and j:
            like = 0 if a[i - 1] == b[j - 1] else 1.9 - 1.5 * likeness(a[i - 1], b[j - 1])
            if abs(cost[i][j] - cost[i - 1][j - 1] - like) < 1e-9: i -= 1; j -= 1; out.append((i, j)); continue
        if i and abs(cost[i][j] - cost[i - 1][j] - 1) < 1e-9: i -= 1; out.append((i, None))
        else: j -= 1; out.append((None, j))
    return out[::-1]

def aligned(truth, read):
    """Pairs of places; what has no like in order is looked for elsewhere on the page: columns may change places."""
    pairs = []
    for tag, a, b, c, d in difflib.SequenceMatcher(None, truth, read, autojunk=False).get_opcodes():
        if tag == 'equal': pairs += zip(range(a, b), range(c, d))
        else: pairs += [(None if i is None else a + i, None if j is None else c + j) for i, j in blocks(truth[a:b], read[c:d])]
    lost = [i for i, j in pairs if j is None]; spare = [j for i, j in pairs if i is None]
    moved = {}
    for m in difflib.SequenceMatcher(None, [truth[i] for i in lost], [read[j] for j in spare], autojunk=False).get_matching_blocks():
        if m.size > 1: moved.update((lost[m.a + k], spare[m.b + k]) for k in range(m.size))
    taken = set(moved.values())
    return [(i, moved.get(i, j) if i is not None else j) for i, j in pairs if not (i is None and j in taken)]

def compared(page, told):
    """For each deciding word: what stands there, what was read, its confidence, the line."""
    text = Page(told); truth, at = [], []
    for n, line in enumerate(page['lines']):
        for w in line['text'].split(): truth.append(w); at.append(n)
    pairs = aligned(truth, text.words); got = {i for i, j in pairs if i is not None and j is not None and likeness(truth[i], text.words[j]) > .3}
    share = {}
    for i, n in enumerate(at): share.setdefault(n, []).append(i in got)
    out = []; last = 0
    for k, (i, j) in enumerate(pairs):
        if i is not None: last = at[i]
        a, b = (truth[i] if i is not None else ''), (text.words[j] if j is not None else '')
        if a and j is not None and a == ''.join(text.words[j:j + 2]): b = a   # a tab of the picture parts it, where its text has none
        da, db = deciding(a), deciding(b)
        if not da and not db: continue
        parted = lambda i: i is not None and ((i + 1 == len(at) or at[i + 1] != at[i]) and truth[i][-1] in DASHES or i > 0 and at[i - 1] != at[i] and truth[i - 1][-1] in DASHES)
        if parted(i) or i is None and any(parted(p) for p, _ in pairs[max(0, k - 2):k + 3]): continue   # the program joins parted words
        # several words may be lost in one place: what was read on both sides of it
        near = [next((text.least[q] for _, q in side if q is not None), 1.) for side in (pairs[k::-1], pairs[k:])]
        sure = text.least[j] if j is not None else min(near)
        gone = not any(share[last]); line = page['lines'][last]
        for w in set(da) or set(db):
            right = da.count(w) == db.count(w)
            how = '' if right else 'twice' if not a else 'lost' if not b or b.lower() in a.lower() else 'misread'
            out.append(dict(line, word=w, there=a, read=b, sure=sure, right=right, line=last, gone=gone and bool(da), how=how))
    return out, text

def figures(rows):
    """Words; wrong; wrong without a doubt, these as other words, in pieces not found, read twice; right but doubted."""
    wrong = [r for r in rows if not r['right']]; bad = [r for r in wrong if r['sure'] >= CERTAIN]; how = [sum(r['how'] == h for r in bad) for h in ('misread', 'lost', 'twice')]
    return f"{len(rows):5} {len(wrong):4} {len(bad):4} ({'+'.join(map(str, how))}) {sum(r['right'] and r['sure'] < CERTAIN for r in rows):4}"

def score(folder, file, legible=LEGIBLE):
    by, raw, doubts, lines, bad, refused = {}, [], {}, {}, [], 0
    for line in open(file):
        told = json.loads(line); name = os.path.basename(told['file'])[:-4]; page = json.load(open(f'{folder}/{name}.json')); kind = page['kind']
        if 'error' in told: told.update(text=dict(content='', doubts=[]), read=dict(content='', doubts=[])); print('no text:', name, told['error'][:80])
        past = lambda l: l['legible'] < float(legible) or page['high'] < LEAST
        n, left = lines.get(kind, (0, 0)); lines[kind] = n + len(page['lines']), left + sum(map(past, page['lines']))
        rows, text = compared(page, told['text'])
        for r in rows:
            if past(page['lines'][r['line']]): continue
            if 'error' in told: refused += 1; continue
            by.setdefault(kind, []).append(r)
            if not r['right'] and r['sure'] >= CERTAIN: bad.append((kind, page['font'], name, page['turn'], r))
        if 'error' in told: continue
        raw += [r for r in compared(page, told['read'])[0] if not past(page['lines'][r['line']]) and kind != 'letter']
        low = [d for d in text.doubts if d[2] < CERTAIN]; content = told['text']['content'].encode()
        turn = [d for d in text.doubts if d[3] or deciding(content[d[0]:d[1]].decode())]
        doubts.setdefault(kind, []).append([len(low)] + [sum(d[2] < t for d in turn) for t in TRIED])
    by['all'] = [r for k in by for r in by[k] if k != 'letter']; lines['all'] = tuple(sum(v[i] for k, v in lines.items() if k != 'letter') for i in (0, 1))
    print('Of each: deciding words, wrong, wrong without a doubt (read as another + a piece lost + read twice), right but doubted.')
    for kind, rows in sorted(by.items()):
        n, left = lines[kind]; part = lambda f: figures([r for r in rows if not r['gone'] and f(r)])
        print(f"{kind:8} lines {n}, past reading {left} ({left / n:.1%}) | plain {part(lambda r: not r['changed'] and not r['marred'] and not r['lined'])} | underlined {part(lambda r: r['lined'] and not r['marred'] and not r['changed'])} | marred {part(lambda r: r['marred'] and not r['changed'])} | changed {part(lambda r: r['changed'])} | in lines not found {sum(r['gone'] for r in rows)}")
    print('deciding words on pages that were refused:', refused)
    print('doubts a page: all below %.2f; on words that decide or may, below' % CERTAIN, *TRIED)
    for kind, v in doubts.items(): print(f"{kind:8} pages {len(v)}:", *(f'{sum(d[i] for d in v) / len(v):.2f}' for i in range(len(TRIED) + 1)))
    for t in TRIED: print(f'doubted below {t}: wrong without a doubt', *(f"{what} {sum(not r['right'] and r['sure'] >= t and not r['gone'] and of(r) for r in by['all'])} of {sum(not r['gone'] and of(r) for r in by['all'])}," for what, of in (('read as another', lambda r: not r['changed'] and r['how'] in ('', 'misread')), ('a piece lost or twice', lambda r: not r['changed'] and r['how'] in ('', 'lost', 'twice')))))
    print('confidence of OCR itself, plain and marred lines: words, read as another, a piece lost or twice')
    for low, high in ((0, .5), (.5, .8), (.8, .85), (.85, .9), (.9, .95), (.95, 1), (1, 2)):
        some = [r for r in raw if low <= r['sure'] < high and not r['changed'] and not r['gone']]; print(f"  from {low:.2f} {len(some):6} {sum(r['how'] == 'misread' for r in some):5} {sum(r['how'] in ('lost', 'twice') for r in some):5}")
    for kind, font, name, turn, r in bad: print(f"{'GONE' if r['gone'] else 'CHANGED' if r['changed'] else 'MARRED' if r['marred'] else 'LINED' if r['lined'] else 'WRONG'} {r['how']} {kind} {font} {name} [{r['legible']}, {turn}] {r['sure']:.2f} {r['word']}: «{r['there']}» read «{r['read']}» in: {r['text'][:100]}")

if __name__ == '__main__':
    what, *rest = sys.argv[1:]
    dict(make=make, read=read, score=score)[what](*[int(x) if x.isdigit() else x for x in rest])
