"""Prints the filled and stroked rectangles of a PDF page in millimetres, as JSON: [x, y, width, height].

Usage: pdf_lines.py FILE PAGE. Read with PyMuPDF, which shares nothing with the program's PDF writer.
"""

import json
import sys

import pymupdf

POINT = 25.4 / 72

page = pymupdf.open(sys.argv[1])[int(sys.argv[2])]
out = []
for drawing in page.get_drawings():
    for item in drawing["items"]:
        if item[0] == "re":
            rect = item[1]
            out.append([rect.x0 * POINT, rect.y0 * POINT, rect.width * POINT, rect.height * POINT])
        elif item[0] == "qu":
            rect = item[1].rect
            out.append([rect.x0 * POINT, rect.y0 * POINT, rect.width * POINT, rect.height * POINT])
    rect = drawing["rect"]
    out.append([rect.x0 * POINT, rect.y0 * POINT, rect.width * POINT, rect.height * POINT])
print(json.dumps(out))
