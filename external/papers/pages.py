"""Looks at the text of a PDF as a reader does, and prints what it finds as JSON, a list of pages.

Usage: pages.py FILE. Read with PyMuPDF, which shares nothing with the program's PDF writer. Of each page: its size in
millimetres; "over", pairs of texts that run into each other; "outside", texts that leave the sheet; "least", the size of
its smallest type in points with an example; "filled", how far down its text reaches within the frame, as a share of the
room above the strip of the title block (0 where nothing stands there).

A text's ink is taken from its baseline: 0.72 of its size above (the height of capitals), below it 0.2 where it has a letter
that reaches there, else a little for round ones.
"""

import json
import sys

import pymupdf

MM = 25.4 / 72
# The strip of the title block and what stands below it, in millimetres from the foot of the sheet.
STRIP = 31.0
# Letters and signs that reach below the baseline.
LOW = set("gjpqyQJ,;()[]{}|_µ≤≥")
# Inks that share less than this in either direction only touch, in points.
TOUCH = 0.9


def inks(page):
    """Each piece of text with the box of its ink."""
    out = []
    for block in page.get_text("dict")["blocks"]:
        for line in block.get("lines", []):
            dx, dy = line["dir"]
            for span in line["spans"]:
                words = span["text"].strip()
                if not words:
                    continue
                x0, y0, x1, y1 = span["bbox"]
                ox, oy = span["origin"]
                up = 0.72 * span["size"]
                down = (0.2 if LOW & set(words) else 0.02) * span["size"]
                if abs(dx) > 0.9:
                    box = (x0, oy - up, x1, oy + down) if dx > 0 else (x0, oy - down, x1, oy + up)
                elif abs(dy) > 0.9:
                    box = (ox - up, y0, ox + down, y1) if dy < 0 else (ox - down, y0, ox + up, y1)
                else:
                    box = (x0, y0, x1, y1)
                out.append((words, span["size"], box))
    return out


def look(page):
    wide, high = page.rect.width, page.rect.height
    texts = inks(page)
    over, outside = [], []
    texts.sort(key=lambda text: text[2][0])
    for index, (words, _, box) in enumerate(texts):
        if box[0] < -0.5 or box[1] < -0.5 or box[2] > wide + 0.5 or box[3] > high + 0.5:
            outside.append(words)
        for other, _, with_ in texts[index + 1:]:
            if with_[0] > box[2]:
                break
            across = min(box[2], with_[2]) - max(box[0], with_[0])
            down = min(box[3], with_[3]) - max(box[1], with_[1])
            if across > TOUCH and down > TOUCH:
                over.append([words, other, round(across * MM, 2), round(down * MM, 2)])
    strip = high - STRIP / MM
    within = [box[3] for _, _, box in texts if box[3] < strip]
    images = [drawing["rect"].y1 for drawing in page.get_drawings() if drawing["rect"].y1 < strip]
    least = min(((size, words) for words, size, _ in texts), default=(0, ""))
    return {
        "size": [round(wide * MM, 1), round(high * MM, 1)],
        "over": over,
        "outside": outside,
        "least": [round(least[0], 2), least[1]],
        "filled": round(max(within + images, default=0) / strip, 3),
    }


print(json.dumps([look(page) for page in pymupdf.open(sys.argv[1])]))
