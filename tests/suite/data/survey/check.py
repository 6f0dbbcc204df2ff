"""Reads rows with Python's own CSV library: the same columns in every row, counts as given, and no
cell that a spreadsheet would take for a formula. Arguments: the file, then form=count ..."""

import csv
import sys
from collections import Counter

with open(sys.argv[1], newline="", encoding="utf-8") as file:
    rows = list(csv.reader(file, strict=True))
head, rows = rows[0], rows[1:]
assert len(set(head)) == len(head), "columns with one name"
for row in rows:
    assert len(row) == len(head), (len(row), len(head), row)
    for cell in row:
        assert not cell.lstrip().startswith(("=", "+", "-", "@")), cell
        assert not any(ord(c) < 32 for c in cell), cell
forms = Counter(row[head.index("form")] for row in rows)
for wanted in sys.argv[2:]:
    name, count = wanted.split("=")
    assert forms[name] == int(count), (name, forms[name], count)
assert [int(row[0]) for row in rows] == list(range(1, len(rows) + 1))
print(len(rows))
