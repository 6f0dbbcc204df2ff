"""Synthetic lines of text: what a letter says (text()) and its picture (picture()).

A picture is 64 rows of 8-bit ink (0 paper, 255 ink): the line's ascenders begin at row 15, its descenders end at row 49,
and the lines above and below reach in.
    python3 render.py FOLDER WORKER COUNT [test]    writes FOLDER/WORKER-n.npz for ever, or COUNT files
"""
import glob, json, os, random, re, sys
import numpy as np
from PIL import Image, ImageChops, ImageDraw, ImageFont

HERE = os.environ.get('OCRDATA', os.path.join(os.path.dirname(os.path.abspath(__file__)), 'data'))
HAND = '\ufffd'   # writing by hand: a class of its own, never letters
CHARS = ' !"#$%&\'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~§°–—‘’“”•½¼¾×±©®é' + HAND
INDEX = {c: i + 1 for i, c in enumerate(CHARS)}
TYPED = re.compile('typewriter|special|courier|cmuntt|cmunvt|cmuntb|liberationmono|ocrb|plex|cutive|compagnon|anonymous|3270|glass|vt323|nixie|josefin|(dm|space|pt|victor|overpass)-mono|source-code', re.I)
MONO = re.compile('typewriter|courier|cmuntt|cmuntb|mono|ocrb|inconsolata|hack|anonymous|3270|glass|vt323|firacode|compagnon|source-code', re.I)
TUCKED = re.compile('[.,]["”’\']|["”’\'][.,]')
NUMBER = re.compile(r'(?:[(§•*–-]|[0-9]|[a-z][.)]).{0,8}? ')
LIKE = ('ceo', 'aeo', 'nu', 'hb', 'il1I', 'tfr', 'vuy', 'mn', 'sz5S', '0Oo', 'CGO', 'B8', 'EF', 'MN', 'UV', '38', '17', 'gqy')
H, TOP, BOTTOM, WIDEST = 64, 15, 49, 1792

def corpus(held):
    out = []
    for f in sorted(glob.glob(HERE + '/far/part*.jsonl')):
        for line in open(f):
            r = json.loads(line)
            if r['kind'] == 'damaged': continue
            if (hash_(r['section'] + r['heading']) % 10 == 0) != held: continue
            out.append(r['text'])
            if r['heading']: out.append(r['heading'])
    for f in sorted(glob.glob(HERE + '/english/*.jsonl')):
        for line in open(f):
            t = json.loads(line).get('text')
            if isinstance(t, str) and (hash_(t[:40]) % 10 == 0) == held: out.append(t)
    return [''.join(c for c in t if c in INDEX and c != HAND) for t in out if len(t) > 3]

def hash_(s):
    import zlib
    return zlib.crc32(s.encode())

class Texts:
    def __init__(self, rng, held=False):
        self.r, self.par = rng, corpus(held)
        self.common = [w for t in self.par for w in t.split() if len(w) < 22]
        self.words = sorted({w for t in self.par for w in t.split() if len(w) < 22})
        self.dict = [w for w in open(HERE + '/words.txt').read().split('\n') if w and all(c in INDEX for c in w)]
        self.weights = [len(p) for p in self.par]
    def digits(self, n): return ''.join(self.r.choice('0123456789') for _ in range(n))
    def caps(self, n): return ''.join(self.r.choice('ABCDEFGHIJKLMNOPQRSTUVWXYZ') for _ in range(n))
    def name(self):
        r = self.r
        w = [r.choice(self.dict).replace("'s", '').capitalize() for _ in range(r.choice([1, 2, 2, 3]))]
        if r.random() < .3: w.insert(1, r.choice('ABCDEFGHJKLMNPRSTW') + '.')
        return ' '.join(w)
    def date(self):
        r = self.r
        m = r.choice('January February March April May June July August September October November December'.split())
        d, y = r.randint(1, 31), r.randint(1960, 2026)
        return r.choice([f'{d} {m} {y}', f'{m} {d}, {y}', f'{r.randint(1,12)}/{d}/{y}', f'{r.randint(1,12):02}/{d:02}/{y%100:02}', f'{d:02}-{m[:3].upper()}-{y}', f'{m[:3]}. {d}, {y}', f'{y}-{r.randint(1,12):02}-{d:02}'])
    def measure(self):
        """A number and its unit, which a narrow blank parts."""
        r, D = self.r, self.digits
        n = r.choice([D(1), D(2), D(2), D(3), D(3), D(4), f'{r.randint(1, 9)},{D(3)}', f'{D(1)}.{D(1)}', f'{D(2)}-{D(2)}', f'{D(2)}–{D(2)}'])
        return n + ' ' + r.choice('kt kg km ft m lb lbs qt hp psi V A °C °F °C % L h hr min nm in. mph hours feet years'.split())
    def code(self):
        r, D, C = self.r, self.digits, self.caps
        n, a = r.randint(1, 65), r.choice('abcdefghijk')
        return r.choice([
            lambda: f'({n})', lambda: f'{n}.', lambda: f'{n} .', lambda: f'({a})', lambda: f'{a}.', lambda: f'{a})', lambda: f'({r.choice(["i","ii","iii","iv","v","vi","vii","viii","ix","x"])})', lambda: f'{n})',
            lambda: f'§ {r.choice([21,23,39,43,45,61,65,91])}.{r.randint(1,420)}({a})', lambda: f'§§ {r.choice([21,43,91])}.{r.randint(1,420)} and {r.choice([43,91])}.{r.randint(1,420)}',
            lambda: f'14 CFR § {r.choice([21,43,91])}.{r.randint(1,420)}({a})({r.randint(1,9)})', lambda: f'14 CFR {r.choice([21,43,65,91])}.{r.randint(1,420)}', lambda: f'part {r.choice([21,43,65,91])}', lambda: f'14 C.F.R. part {r.randint(1,150)}',
            lambda: f'N{r.randint(1,9)}{D(r.randint(1,4))}', lambda: f'N{r.randint(1,9)}{D(r.randint(1,2))}{C(r.randint(1,2))}', lambda: f'N0{D(r.randint(0,3))}{C(r.randint(1,2))}', lambda: f'N{r.choice(["000","00","0"])}{C(2)}', lambda: f'S/N {C(r.randint(0,3))}{r.choice(["","-"])}{D(r.randint(2,6))}', lambda: f'Serial No. {D(r.randint(2,5))}{r.choice(["","A","-B"])}',
            self.date, self.date, self.name, self.name, lambda: f'FAA Form {r.choice([8130,8050,337,8610])}-{r.randint(1,31)}', lambda: f'Form {D(4)}-{D(1)} ({r.randint(1,12):02}-{D(2)})', lambda: f'AC {D(2)}-{D(2)}{r.choice(["","A","B","C","D"])}', lambda: f'Order {D(4)}.{D(1)}{r.choice("ABCDEFGHJK")}',
            lambda: '_' * r.randint(2, 30), lambda: 'x' * r.randint(2, 5), lambda: '.' * r.randint(3, 30), lambda: '-' * r.randint(2, 12), lambda: f'{D(r.randint(1,4))} {r.choice(["hours","nm","NM","feet","miles","knots","lbs.","pounds","MPH","KIAS","ft MSL","°F","°C","rpm","%","gal.","in.","mm","kg"])}',
            self.measure, self.measure, self.measure, lambda: f'/s/ {self.name()}', lambda: ''.join(r.choice('0O') if r.random() < .4 else r.choice('OQDC0869ILNUVY' + D(3)) for _ in range(r.randint(2, 7))), lambda: f'N{D(r.randint(1,2))}{r.choice(self.dict).upper()[:r.randint(2,5)]}', lambda: f'N0{r.choice(["O",""])}{C(r.randint(1,3))}',
            lambda: f'{r.randint(10,89)}°{r.randint(0,59):02}\'{r.randint(0,59):02}" {r.choice("NSEW")}', lambda: f'{r.randint(1,9)},{D(3)}', lambda: f'${r.randint(1,99)},{D(3)}.{D(2)}', lambda: f'{D(1)}.{D(r.randint(1,3))}', lambda: f'{r.randint(21, 91)}{r.choice(".,")}{D(3)}', lambda: f'{r.randint(1,20)}{r.choice("½¼¾")}', lambda: f'±{D(1)}.{D(1)}°',
            lambda: f'({D(3)}) {D(3)}-{D(4)}', lambda: f'{D(3)}.{D(3)}.{D(4)}', lambda: f'{r.choice(self.dict).lower()}.{r.choice(self.dict).lower()}@faa.gov', lambda: f'www.{r.choice(self.dict).lower()}.gov/{C(3).lower()}', lambda: f'{C(2)} {D(5)}-{D(4)}', lambda: f'P.O. Box {D(4)}',
            lambda: f'{C(r.randint(2,5))}', lambda: f'{C(r.randint(1,3))}-{D(r.randint(1,4))}', lambda: f'{C(1)}{D(r.randint(1,4))}{C(r.randint(0,2))}', lambda: f'{C(3)}-{C(r.randint(2,4))}-{D(3)}', lambda: r.choice(['Vso', 'Vx', 'Vy', 'Vne', 'V1', 'Va', 'CG', 'VFR', 'IFR', 'MIDO', 'FSDO', 'ATC', 'DAR', 'A&P', 'ELT', 'TCDS', 'STC', 'U.S.C.', 'I.D.', 'et seq.', 'e.g.,', 'i.e.,']),
            lambda: f'{n}{"th" if n % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")}', lambda: f'{n}{r.choice(["ST", "ND", "RD", "TH"])}',
            lambda: r.choice(['All', 'ALL', 'all', 'All', 'Ill', 'ILL', 'AII', 'II', 'III', 'I', 'l', 'Illinois', 'ILS', 'Il', 'Al', 'AL', 'Ali', 'fill', 'will', 'shall', 'Alloy', 'Ally', 'Inc.', 'Intl', 'L1', 'I1', '1l', '11', '10', 'lO', 'O0', '0O', 'OO', 'Ol', '01', 'S5', '5S', 'B8', '8B', 'Z2', 'G6', 'may', 'must', 'shall', 'not', 'only', 'no', 'nor', 'now', 'any', 'and', 'or', 'on', 'of', 'if', 'is', 'unless', 'except', 'prior', 'part', 'parts', 'may not', 'must not']),
            lambda: f'Page {n} of {n + r.randint(0,9)}', lambda: f'- {n} -', lambda: f'{n}', lambda: f'[{r.choice(["x","X"," ","reserved","Reserved",D(1)])}]', lambda: f'{r.choice("•*·-–—+>")} {r.choice(self.words)}'.replace('·', '•'), lambda: f'#{D(r.randint(1,4))}', lambda: f'{D(2)} FR {D(r.randint(4,5))}', lambda: f'49 U.S.C. {D(5)}({a})', lambda: f'©{D(4)} {self.name()}®',
        ])()
    def number(self):
        """The number of a clause."""
        r = self.r; n, m, a = r.randint(1, 30), r.randint(1, 20), r.choice('abcdefghijklmnop')
        return r.choice([f'{n}.', f'{n}.{m}', f'{n}.{m}', f'{n}.{m}.', f'({n})', f'({a})', f'{a}.', f'{a})', f'{n})', f'({r.choice(["i", "ii", "iii", "iv", "v", "vi", "vii", "ix", "x"])})', f'{n}.{m}.{r.randint(1, 9)}', f'§ {r.randint(21, 91)}.{m}', f'{n}{a}.', '•', '-', '–', '*'])
    def running(self, n):
        p = self.r.choices(self.par, self.weights)[0]
        if len(p) <= n: return p
        w = p.split(' ')
        i = self.r.randrange(len(w)); out = ''
        while i < len(w) and len(out) + len(w[i]) < n: out += (' ' if out else '') + w[i]; i += 1
        return out or w[-1][:n]
    def mixture(self, n):
        out = ''
        while True:
            x = self.r.random()
            w = self.code() if x < .2 else self.r.choice(self.common) if x < .45 else self.r.choice(self.words) if x < .65 else self.r.choice(self.dict) if x < .95 else ''.join(self.r.choice('abcdefghijklmnopqrstuvwxyz') for _ in range(self.r.randint(1, 9)))
            x = self.r.random()
            if x < .05: w = w.capitalize()
            elif x < .08: w = w.upper()
            elif x < .10: w = '(' + w + ')'
            elif x < .13: w = '"' + w + '"' if self.r.random() < .5 else '“' + w + '”'
            elif x < .14: w = "'" + w + "'"
            elif x < .22: w += self.r.choice(',.;:,.?!/')
            elif x < .24: w += self.r.choice(['--', '—', '–', ' - ', '-', '/', '&']) + self.r.choice(self.words)
            elif x < .25: w = ''.join(self.r.choice(CHARS[1:]) for _ in range(self.r.randint(1, 6)))
            if len(out) + len(w) + 1 > n: return out or w[:max(n, 3)]
            out += (' ' if out else '') + w
    def form(self):
        """A line of a form: what is asked for, and a blank that is empty, filled by hand or typed."""
        r = self.r; out = []
        for _ in range(r.choice([1, 1, 2, 3])):
            ask = r.choice(['Make', 'Model', 'Serial No.', 'Registration', 'Registration No.', 'N-number', 'Date', 'Signature', 'Name', 'Title', 'Issued', 'Expires', 'By', 'Total time', 'Hours', 'Location', 'Office', 'Certificate No.', self.r.choice(self.words).capitalize(), self.r.choice(self.common)])
            fill = r.choice([lambda: '_' * r.randint(3, 25), lambda: '_' * r.randint(3, 25), lambda: '.' * r.randint(4, 25), lambda: HAND, lambda: HAND, lambda: HAND + ' ' + HAND, lambda: self.code(), lambda: '_' * r.randint(1, 5) + HAND + '_' * r.randint(1, 5)])()
            out.append(ask + r.choice([':', ':', '', '.']) + ' ' + fill)
        return r.choice(['  ', ' ', ', ']).join(out)
    def hand(self, t):
        """A word or two of the line written by hand."""
        w = t.split(' '); i = self.r.randrange(len(w)); w[i:i + self.r.choice([1, 1, 2])] = [HAND]; return ' '.join(w)
    def rule(self):
        r = self.r; c = r.choice('___---..=*–—')
        return r.choice([c * r.randint(3, 60), ' '.join(c * r.randint(1, 3) for _ in range(r.randint(2, 20))), self.code() + ' ' + c * r.randint(2, 40), c * r.randint(2, 20) + ' ' + self.code() + ' ' + c * r.randint(2, 20)])
    def quoted(self, t):
        """A few words between quotes, the stop inside or outside of them."""
        w, r = t.split(' '), self.r
        i = r.randrange(len(w)); j = min(len(w), i + r.randint(1, 4))
        a, b = r.choices([('"', '"'), ('“', '”'), ("'", "'"), ('‘', '’')], [5, 4, 1, 1])[0]
        last = w[j - 1].rstrip(',.;:') or 'x'; stop = r.choice(['', '', ',', ',', '.', '.', ';', ':'])
        w[j - 1] = last + (stop + b if r.random() < .6 else b + stop); w[i] = a + w[i]
        if r.random() < .1: w[i], w[j - 1] = '(' + w[i], w[j - 1] + ')'
        return ' '.join(w)
    def owned(self, t):
        """A word or two with an apostrophe."""
        w, r = t.split(' '), self.r
        for i in r.sample(range(len(w)), min(len(w), r.randint(1, 2))):
            if w[i].isalpha() and len(w[i]) > 2: w[i] += r.choice(["'s", "’s", "'s", "’s", "s'", "s’", "s’,", "'s,"])
        return ' '.join(w)
    def cased(self, t):
        """Some words begin large or small against all custom: height tells it, not the word."""
        w = t.split(' ')
        for i, x in enumerate(w):
            if x[:1].isalpha() and self.r.random() < .5: w[i] = x[0].swapcase() + x[1:]
        return ' '.join(w)
    def alike(self, t):
        """Letters changed for others that look like them: what stands there is read, not what would be usual."""
        c, r = list(t), self.r
        for i in r.sample(range(len(c)), min(len(c), max(1, len(c) // 12))):
            for pair in LIKE:
                if c[i] in pair: c[i] = r.choice(pair); break
        return ''.join(c)
    def dashed(self, t):
        """A dash between two words, with blanks or without."""
        w = t.split(' '); i = self.r.choice([self.r.randint(0, len(w)), len(w)]); w.insert(i, self.r.choice(['-', '-', '–', '—'])); 
        if i and self.r.random() < .25: w[i - 1] = w[i - 1].rstrip(',.;:') + self.r.choice(',,.;')   # a stop and a dash side by side
        t = ' '.join(w)
        return t if self.r.random() < .7 else t.replace(' %s ' % w[i], w[i])
    def label(self):
        """One to three words alone, large or small where the shapes are the same."""
        r = self.r; w = [r.choice(self.dict).lower().replace("'s", '') for _ in range(r.choice([1, 1, 2, 3]))]
        w = [r.choice('ocsvwxzup') + x[1:] if r.random() < .5 else x for x in w]; w = [x.capitalize() if r.random() < .6 else x for x in w]
        return ' '.join(w) + r.choice(['', ':', ':', '.', ','])
    def parted(self, t):
        """A line whose last word is parted, or that begins with the rest of one."""
        w, r = t.split(' '), self.r
        at = 0 if r.random() < .25 else -1
        if not w[at].isalpha() or len(w[at]) < 5: return t
        k = r.randint(2, len(w[at]) - 2)
        w[at] = w[at][k:] if at == 0 else w[at][:k] + '-'
        return ' '.join(w)
    def line(self):
        r = self.r
        n = r.choices([r.randint(1, 12), r.randint(8, 40), r.randint(40, 75), r.randint(70, 105)], [10, 20, 35, 35])[0]
        x = r.random()
        if x < .60:
            t = self.running(n)
            if r.random() < .5: t = re.sub(r'\d', lambda m: r.choice('0123456789'), t)
            if r.random() < .1: t = self.parted(t)
            if r.random() < .1 and len(t) > 4: t = self.number() + ' ' + t
            elif r.random() < .12 and len(t) > 4: t = self.code() + ' ' + t
        elif x < .85: t = self.mixture(n)
        elif x < .94: t = ' '.join(self.code() for _ in range(r.choice([1, 1, 1, 2, 3, 4])))
        elif x < .97: t = (self.running(n) if r.random() < .6 else self.mixture(n)).upper()
        elif x < .99: t = self.form()
        else: t = self.rule()
        if r.random() < .025: t = self.number() if r.random() < .5 else r.choice([self.digits(1), self.digits(2), self.measure()])   # alone in a column
        if r.random() < .045: t = self.label()
        x = r.random()
        if x < .10: t = self.quoted(t)
        elif x < .14: t = self.owned(t)
        elif x < .18: t = self.cased(t)
        elif x < .27: t = self.alike(t)
        elif x < .30: t = self.dashed(t)
        if r.random() < .025: t = self.hand(t)
        if r.random() < .08: t = t.upper()
        if r.random() < .02: t = t.title()
        t = ''.join(c for c in t if c in INDEX)
        t = re.sub(' +', ' ', t).strip()[:110].strip()
        return t or 'x'

class Faces:
    def __init__(self, rng, held=False):
        self.r, self.cache = rng, {}
        self.files = sorted(glob.glob(HERE + ('/fonts/held/*' if held else '/fonts/train/*')))
        self.hands = sorted(glob.glob(HERE + '/fonts/hand/*'))
        self.weights = [2.2 if TYPED.search(os.path.basename(f)) else .5 if re.search('Italic|Oblique|_RI|cmunti|cmunit|Jura|Comic|DotG|nova|share|routed|it-latin|italic', f) else 1.8 if re.search('cmun(rm|bx)|LiberationSerif-(Regular|Bold)\\.|STIX-(Regular|Bold)', f) else 1 for f in self.files]
    def pick(self):
        f = self.r.choices(self.files, self.weights)[0]
        size = self.r.choice([0, 1, 2])
        if (f, size) not in self.cache:
            g = ImageFont.truetype(f, 100, layout_engine=ImageFont.Layout.BASIC)
            t, b = g.getbbox('Ahdglpqy', anchor='ls')[1::2]
            s = max(12, round((BOTTOM - TOP) * (.94, 1, 1.06)[size] * 100 / (b - t)))
            g = ImageFont.truetype(f, s, layout_engine=ImageFont.Layout.BASIC)
            t, b = g.getbbox('Ahdglpqy', anchor='ls')[1::2]
            cmap = {c for c in CHARS if c in ' ' + HAND or g.getmask(c).getbbox()}
            self.cache[f, size] = (g, (TOP + BOTTOM - t - b) // 2, cmap)
        return (f,) + self.cache[f, size]

    def pen(self):
        f = self.r.choice(self.hands); size = self.r.randint(24, 52)
        if (f, size) not in self.cache: self.cache[f, size] = ImageFont.truetype(f, size, layout_engine=ImageFont.Layout.BASIC)
        return self.cache[f, size]

SUBST = {'‘': "'", '’': "'", '“': '"', '”': '"', '–': '-', '—': '--', '•': '*', '×': 'x', '©': 'c', '®': 'R', 'é': 'e', '½': '1/2', '¼': '1/4', '¾': '3/4', '±': '+', '§': 'Sec.', '°': ' deg', '`': "'"}

def written(rng):
    """What a hand writes: a name, a date, a number, initials."""
    n = lambda k: ''.join(rng.choice('0123456789') for _ in range(k))
    w = lambda a, b: ''.join(rng.choice('abcdefghijklmnoprstuvwy') for _ in range(rng.randint(a, b)))
    return rng.choice([lambda: w(3, 9).capitalize(), lambda: w(3, 8).capitalize() + ' ' + w(3, 9).capitalize(), lambda: rng.choice('ABCDEGJMRST') + '. ' + w(3, 9).capitalize(), lambda: w(2, 10),
        lambda: f'{rng.randint(1, 12)}/{rng.randint(1, 31)}/{n(2)}', lambda: f'{rng.randint(1, 12)}-{rng.randint(1, 31)}-{n(2)}', lambda: n(rng.randint(1, 5)), lambda: 'N' + n(rng.randint(2, 5)), lambda: w(1, 2).upper() + w(1, 2).upper(), lambda: n(3) + '.' + n(1)])()

def over(im, faces, rng):
    """A signature or a stamp across part of the line."""
    a = np.asarray(im).astype(np.float32); layer = Image.new('L', im.size); d = ImageDraw.Draw(layer)
    x = rng.uniform(0, im.width * .8)
    if rng.random() < .6:
        d.text((x, rng.uniform(20, 60)), written(rng) + written(rng), fill=255, font=faces.pen().font_variant(size=rng.randint(40, 110)), anchor='ls')
        if rng.random() < .5:
            y = [rng.uniform(0, 64) for _ in range(5)]; d.line([(x + k * rng.uniform(20, 60), v) for k, v in enumerate(y)], fill=255, width=rng.randint(1, 3), joint='curve')
    else:
        f = faces.pick()[1].font_variant(size=rng.randint(24, 70)); d.text((x, rng.uniform(15, 75)), ''.join(rng.choice('ABCDEFGHILMNOPRSTUV ') for _ in range(rng.randint(4, 12))), fill=255, font=f, anchor='ls')
        if rng.random() < .5: d.rectangle([x - 8, rng.uniform(-20, 10), x + rng.uniform(100, 400), rng.uniform(50, 90)], outline=255, width=rng.randint(2, 4))
        layer = layer.rotate(rng.uniform(-8, 8))
    return Image.fromarray(np.maximum(a, np.asarray(layer) * rng.uniform(.15, .55)).astype(np.uint8))

def cell(im, rng):
    """Rules of a table around the line, or what is left of them."""
    a = np.asarray(im).copy(); h, w = a.shape; thick = rng.choice([1, 1, 2, 2, 3]); room = rng.randint(4, 60)
    a = np.pad(a, ((0, 0), (room if rng.random() < .6 else 0, rng.randint(4, 90) if rng.random() < .6 else 0))); w = a.shape[1]
    for y in (rng.randint(2, 13), rng.randint(49, 62)):
        if rng.random() < .7: x = rng.choice([0, 0, rng.randrange(w)]); a[y:y + thick, x:rng.choice([w, w, rng.randint(x, w)])] = 255
    for x in (rng.randint(1, 8), w - rng.randint(2, 9)):
        if rng.random() < .6: a[rng.choice([0, 0, rng.randint(0, 30)]):rng.choice([h, h, rng.randint(30, h)]), x:x + thick] = 255
    return Image.fromarray(a)

class Worn:
    """Types of an old machine: counters that dirt has filled, each letter out of line in its own way, struck on one side."""
    def __init__(self, rng, font, base):
        self.r, self.font, self.base, self.types = rng, font, base, {}
        self.dirt = rng.choice([0, 0, .3, .7, 1]); self.out = rng.choice([0, .5, 1, 1.6]); self.lean = rng.choice([0, 0, 1.5, 3]); self.uneven = rng.choice([0, .3, .6, .9])
    def type(self, c):
        if c in self.types: return self.types[c]
        wide = int(self.font.getlength(c)) + 24; im = Image.new('L', (wide, H)); ImageDraw.Draw(im).text((12, self.base), c, fill=255, font=self.font, anchor='ls')
        if self.r.random() < self.dirt:   # what no way leads to from outside
            around = im.point(lambda v: 255 * (v > 100)); ImageDraw.floodfill(around, (0, 0), 128)
            hole = around.point(lambda v: 255 * (v == 0)); im = ImageChops.lighter(im, hole.point(lambda v, k=self.r.uniform(.3, 1): int(v * k)))
        if self.lean: im = im.rotate(self.r.gauss(0, self.lean), Image.BILINEAR, center=(wide / 2, self.base - 10))
        self.types[c] = im, self.r.gauss(0, self.out), self.r.gauss(0, self.out * .6)
        return self.types[c]
    def strike(self, im, c, x, up, ink):
        one, down, aside = self.type(c); a = np.asarray(one).astype(np.float32) * ink / 255
        if self.r.random() < self.uneven * .5:   # the hammer met the paper with one side only
            k = np.linspace(1, 1 - self.uneven * self.r.random(), H if self.r.random() < .6 else a.shape[1])
            k = k[::self.r.choice([1, -1])]; a = a * (k[:, None] if len(k) == H else k[None])
        a = np.roll(a, round(up + down), 0); x = int(round(x + aside)) - 12
        part = Image.fromarray(a.astype(np.uint8)); box = (x, 0, x + part.width, H)
        im.paste(ImageChops.lighter(im.crop(box), part), (x, 0))

def picture(text, above, below, faces, rng):
    """(text as drawn, picture, ink rows) or None where it is too wide."""
    f, g, base, cmap = faces.pick()
    mono, typed = bool(MONO.search(os.path.basename(f))), bool(TYPED.search(os.path.basename(f)))
    def fit(t): return ''.join(c if c in cmap else SUBST.get(c, '') for c in t)
    text = re.sub(' +', ' ', fit(text)).strip()
    if not text: return None
    gap = rng.choice([1, 1, 1, 1, .9, .8, .7, 1.15, 1.4, 2]) if not mono else rng.choice([1, 1, 1, 2])   # justified blanks
    track = 0 if rng.random() < .75 else rng.uniform(-.6, 2.5)
    if track > .5: gap = max(gap, 1)
    # a tab behind the number of a clause, or between two columns of a table: it tells nothing of the other blanks
    jump = {}
    if ' ' in text:
        if NUMBER.match(text) and rng.random() < .7: jump[text.index(' ')] = rng.uniform(5, 70)
        elif rng.random() < .04: jump[rng.choice([k for k, c in enumerate(text) if c == ' '])] = rng.uniform(10, 120)
    pens = [(faces.pen(), written(rng)) for c in text if c == HAND]; room = [p.getlength(t) + 8 for p, t in pens]
    tuck = rng.uniform(.1, .5) if not mono and TUCKED.search(text) and rng.random() < .6 else 0   # a quote above a full stop
    each = bool(pens) or mono and typed and rng.random() < .7 or track != 0 or gap != 1 or bool(jump) or tuck > 0
    worn = Worn(rng, g, base) if each and typed and rng.random() < .3 else None
    draw_double = mono and rng.random() < .15
    width = int(g.getlength(text.replace(HAND, '')) + sum(room) + sum(jump.values()) + len(text) * max(track, 0) + text.count(' ') * g.getlength(' ') * (gap - 1) + (text.count('. ') * g.getlength(' ') if draw_double else 0)) + 24
    if width > WIDEST: return None
    im = Image.new('L', (width, H)); d = ImageDraw.Draw(im)
    if each:
        x, jy, ji = 10.0, rng.choice([0, 0, .5, 1.0, 1.5] if typed else [0, 0, .2, .4]), rng.choice([0, 0, 0, 60, 110, 160]) if typed else 0
        for k, c in enumerate(text):
            if c == HAND:
                (p, t), w = pens.pop(0), room.pop(0)
                d.text((x + 4, base + rng.uniform(-5, 4)), t, fill=rng.randint(130, 255), font=p, anchor='ls')
                if rng.random() < .6: d.line([(x, base + 3), (x + w, base + 3)], fill=255, width=rng.choice([1, 1, 2]))
                x += w
            elif c == ' ':
                x += g.getlength(' ') * gap + track + jump.get(k, 0)
                if draw_double and text[k - 1] == '.': x += g.getlength(' ')
            else:
                if tuck and TUCKED.match(text[k - 1:k + 1]): x -= tuck * g.getlength('.')
                at, up, ink = x + (rng.gauss(0, .5) if typed else 0), round(rng.gauss(0, jy)) if jy else 0, 255 - int(rng.random() * ji)
                if worn: worn.strike(im, c, at, up, ink)
                else: d.text((at, base + up), c, fill=ink, font=g, anchor='ls')
                x += g.getlength(c) + track
        end = x
    else:
        d.text((10, base), text, fill=255, font=g, anchor='ls'); end = 10 + g.getlength(text)
    ink = np.asarray(im).max(1).nonzero()[0]
    if not len(ink): return None
    rows = (int(ink[0]), int(ink[-1]) + 1)
    if rng.random() < .06: d.line([(10 + (0 if rng.random() < .7 else rng.random() * width * .6), base + rng.randint(2, 5))] + [(end if rng.random() < .7 else rng.random() * width, base + rng.randint(2, 5))], fill=255, width=rng.randint(1, 2))
    if rng.random() < .03: d.line([(10 + rng.random() * width * .8, base - rng.randint(6, 12)), (10 + rng.random() * width, base - rng.randint(6, 12))], fill=rng.randint(140, 255), width=rng.randint(1, 3))   # struck out
    if rng.random() < .05: im = over(im, faces, rng); d = ImageDraw.Draw(im)
    pitch = (BOTTOM - TOP) * rng.choice([1.0, 1.06, 1.15, 1.15, 1.25, 1.4, 2])
    for t, y in ((above, base - pitch), (below, base + pitch)):
        if rng.random() < .7: d.text((10 + rng.choice([0, 0, rng.uniform(-200, 200)]), round(y)), fit(t).replace(HAND, ''), fill=255, font=g, anchor='ls')
    im = im.crop((0, 0, min(int(end) + 10, width), H))
    if rng.random() < .1:  # rule beside or a cell's border
        a = np.asarray(im).copy(); x = rng.choice([2, 4, im.width - 5]); a[:, x:x + rng.randint(1, 3)] = 255; im = Image.fromarray(a)
    if rng.random() < .06: im = cell(im, rng)
    return text, np.asarray(im), rows

def some(count, seed, held=False):
    rng = random.Random(seed); T, F = Texts(rng, held), Faces(rng, held)
    t = [T.line() for _ in range(8)]
    while count > 0:
        t = t[-8:] + [T.line()]
        out = picture(t[-1], rng.choice(t[:-1]), rng.choice(t[:-1]), F, rng)
        if out: yield out; count -= 1

def pack(lines):
    w = np.array([p.shape[1] for _, p, _ in lines], np.int32)
    flat = np.concatenate([p.reshape(-1) for _, p, _ in lines])
    return dict(flat=flat, width=w, rows=np.array([r for *_, r in lines], np.int16), text=np.array([t for t, *_ in lines]))

if __name__ == '__main__':
    folder, worker, files = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    held, n = 'test' in sys.argv, 0
    gen = some(10 ** 9, 7777 if held else worker * 1000003 + 5, held)
    while n < files:
        lines = [next(gen) for _ in range(2500 if held or n > 2 else 500)]
        np.savez(f'{folder}/tmp-{worker}-{n}.npz', **pack(lines)); os.rename(f'{folder}/tmp-{worker}-{n}.npz', f'{folder}/s{worker:02}-{n:04}.npz'); n += 1
