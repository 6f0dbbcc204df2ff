"""How likely a letter is behind five others, in English of rules and in general English.

    python3 ngrams.py ngrams.bin

From the running text of which `render.py` makes its lines, the held-back tenth left out; no list of words, and no
letter. Letters are small, any figure is 0. What is seen once of two or three letters, or twice of more, is left out.
The file is a zlib stream: the alphabet in UTF-8 with a line end, then for each piece of text that was kept, sorted, its
length, its last symbol (from 1; the one behind the alphabet is all other signs) and twice the logarithm to base 2 of
how often it stands there; first all lengths, then all symbols, then all counts.
"""
import collections, math, os, re, sys, zlib
from render import corpus

ALPHABET = " abcdefghijklmnopqrstuvwxyz0.,;:()-'\"/&$%?!"
MOST = 0, 0, 1, 2, 2, 2   # seen so often or less, a piece so long is left out
SAME = (('\u201c', '"'), ('\u201d', '"'), ('\u2018', "'"), ('\u2019', "'"), ('\u2013', '-'), ('\u2014', '-'))

def plain(text):
    text = text.lower()
    for a, b in SAME: text = text.replace(a, b)
    return ' ' + re.sub(r'\d', '0', re.sub(r'\s+', ' ', text)) + ' '

def main(out):
    symbol = {c: n for n, c in enumerate(ALPHABET, 1)}; count = [collections.Counter() for _ in MOST]
    for line in corpus(held=False):
        text = bytes(symbol.get(c, len(ALPHABET) + 1) for c in plain(line))
        for i in range(len(text)):
            for n in range(min(len(MOST), i + 1)): count[n][text[i - n:i + 1]] += 1
    kept = sorted((k, v) for of, most in zip(count, MOST) for k, v in of.items() if v > most)
    parts = [bytes(f(k, v) for k, v in kept) for f in (lambda k, v: len(k), lambda k, v: k[-1], lambda k, v: round(2 * math.log2(v)))]
    with open(out, 'wb') as f: f.write(zlib.compress(ALPHABET.encode() + b'\n' + b''.join(parts), 9))
    print(len(kept), 'pieces,', os.path.getsize(out), 'bytes')

main(*sys.argv[1:])
