"""Prints the circles of a PDF page in millimetres, as JSON: [x, y, diameter], y from the top.

Usage: pdf_circles.py FILE PAGE. Read with PyMuPDF, which shares nothing with the program's PDF writer. A circle is a
path of curves alone that is as wide as it is high.
"""

import json
import sys

import pymupdf

POINT = 25.4 / 72

page = pymupdf.open(sys.argv[1])[int(sys.argv[2])]
out = []
for drawing in page.get_drawings():
    if not drawing["items"] or any(item[0] != "c" for item in drawing["items"]):
        continue
    points = [point for item in drawing["items"] for point in item[1:5]]
    left, right = min(p.x for p in points), max(p.x for p in points)
    top, bottom = min(p.y for p in points), max(p.y for p in points)
    if abs((right - left) - (bottom - top)) < 0.01:
        out.append([(left + right) / 2 * POINT, (top + bottom) / 2 * POINT, (right - left) * POINT])
print(json.dumps(out))
