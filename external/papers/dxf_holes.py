"""Reads a DXF file with ezdxf and prints what a drawing program would see, as JSON.

Usage: dxf_holes.py FILE. `holes` are the circles on layer DRILL: [x, y, diameter]; of the
closed polylines on layer CUT the first is the plate, `outline` its corners, and `cutouts` the rectangles after it:
[x, y, width, height] with their centres; `texts` the plain texts; `layers` the layers; `errors` what ezdxf's audit says.
"""

import json
import sys

import ezdxf
from ezdxf.lldxf.encoding import decode_dxf_unicode

document = ezdxf.readfile(sys.argv[1])
space = document.modelspace()
audit = document.audit()
print(
    json.dumps(
        {
            "version": document.dxfversion,
            "holes": [
                [e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius]
                for e in space.query('CIRCLE[layer=="DRILL"]')
            ],
            "cutouts": [
                [
                    (min(xs) + max(xs)) / 2,
                    (min(ys) + max(ys)) / 2,
                    max(xs) - min(xs),
                    max(ys) - min(ys),
                ]
                for e in [e for e in space.query('POLYLINE[layer=="CUT"]') if e.is_closed][1:]
                if len(e.vertices) == 4
                for xs in [[v.dxf.location.x for v in e.vertices]]
                for ys in [[v.dxf.location.y for v in e.vertices]]
            ],
            "outline": [
                [[v.dxf.location.x, v.dxf.location.y] for v in e.vertices]
                for e in [e for e in space.query('POLYLINE[layer=="CUT"]') if e.is_closed][:1]
            ],
            "texts": [decode_dxf_unicode(e.plain_text()).replace("\u00d8", "\u2300") for e in space.query("TEXT")],
            "layers": sorted(layer.dxf.name for layer in document.layers),
            "errors": [str(error.message) for error in audit.errors],
        }
    )
)
