#!/usr/bin/env python3
"""Word errors of scanned pages against their text.

    python3 tests/bench/pages.py PROGRAM FOLDER [ARGUMENT ...]

FOLDER holds pages (.png, .jpg, .jpeg, .tif, .pdf), each with a .txt of the same name. The arguments go to the
program (`--ocr-models DIR` for other models, to compare). Prints each page, then mean and worst of each family: the
part of the name before the first figure. Words to put in, take out or change, as a share of the right ones; quotes
and dashes of one kind count as one. A page that the program refuses counts as wrong in every word.
"""
import json, os, re, resource, subprocess, sys, time

def words(text):
    for a, b in (('\u201c', '"'), ('\u201d', '"'), ('\u2018', "'"), ('\u2019', "'"), ('\u2013', '-'), ('\u2014', '-')): text = text.replace(a, b)
    return text.split()

def distance(a, b):
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        last, row[0] = row[0], i
        for j, y in enumerate(b, 1): last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (x != y))
    return row[-1]

def main():
    program, folder, *more = sys.argv[1:]; families = {}
    for name in sorted(os.listdir(folder)):
        stem, kind = os.path.splitext(name); truth = os.path.join(folder, stem + '.txt')
        if kind.lower() not in ('.png', '.jpg', '.jpeg', '.tif', '.tiff', '.pdf') or not os.path.exists(truth): continue
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        run = subprocess.run([program, 'show', 'text', os.path.join(folder, name), *more], capture_output=True, text=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        right, read = words(open(truth, encoding='utf-8').read()), words(run.stdout)
        errors = distance(right, read) / max(1, len(right))
        families.setdefault(re.split(r'\d', stem)[0], []).append(errors)
        print(f'{name:40} {errors:.4f} of {len(right):4} words, {after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime:.2f} s' + ('' if run.returncode == 0 else f', exit code {run.returncode}'), flush=True)
    for family, errors in families.items(): print(f'{family:20} pages {len(errors)}, mean {sum(errors) / len(errors):.4f}, worst {max(errors):.4f}')

if __name__ == '__main__': main()
