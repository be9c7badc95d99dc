"""Two independent answers: SciPy's shortest paths on grids, and HiGHS on cut plans.

Reads one case a line from standard input and says what differs. A maze is {"maze": rows of "." and "#", "from": [x, y],
"to": [x, y], "cost": thousandths of a step or null}. A cut plan is {"pieces": [mm], "offcuts": [mm], "kerf": mm,
"keep": mm, "fresh": mm, "waste": mm}.
"""

import json
import sys


def maze(case):
    import numpy as np
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import dijkstra

    free = np.array([[cell == "." for cell in row] for row in case["maze"]])
    deep, wide = free.shape
    place = np.arange(deep * wide).reshape(deep, wide)
    rows, columns, weights = [], [], []
    for dy, dx, weight in [(0, 1, 1000), (1, 0, 1000), (1, 1, 1414), (1, -1, 1414)]:
        for y in range(deep - dy):
            for x in range(max(0, -dx), wide - max(0, dx)):
                if free[y, x] and free[y + dy, x + dx]:
                    rows.append(place[y, x])
                    columns.append(place[y + dy, x + dx])
                    weights.append(weight)
    graph = coo_matrix((weights, (rows, columns)), shape=(deep * wide, deep * wide)).tocsr()
    start, end = (place[case[key][1], case[key][0]] for key in ("from", "to"))
    found = dijkstra(graph, directed=False, indices=start)[end]
    return None if found == float("inf") else round(found)


def cuts(case):
    import highspy

    def least(weights, fresh_is=None):
        """Least of weights[0] * fresh + weights[1] * scrap."""
        model = highspy.Highs()
        model.setOptionValue("output_flag", False)
        model.setOptionValue("mip_rel_gap", 0.0)
        pieces, offcuts, kerf, keep = case["pieces"], case["offcuts"], case["kerf"], case["keep"]
        take = [[model.addBinary() for _ in offcuts] for _ in pieces]
        fresh = sum((piece + kerf) * (1 - sum(take[i])) if offcuts else piece + kerf for i, piece in enumerate(pieces))
        scraps = []
        for j, room in enumerate(offcuts):
            used = sum((piece + kerf) * take[i][j] for i, piece in enumerate(pieces))
            model.addConstr(used <= room + kerf)
            opened, kept = model.addBinary(), model.addBinary()
            scrap = model.addVariable(0, room)
            for i in range(len(pieces)):
                model.addConstr(take[i][j] <= opened)
            # Scrap is all that remains, unless the offcut is not opened or so much remains that it is kept.
            big = room + kerf + keep
            model.addConstr(scrap + used + big * kept - big * opened >= room - big)
            model.addConstr(room - used >= keep - big * (1 - kept))
            scraps.append(scrap)
        for i in range(len(pieces)):
            model.addConstr(sum(take[i]) <= 1)
        if fresh_is is not None:
            model.addConstr(fresh <= fresh_is + 1e-6)
        model.minimize(weights[0] * fresh + weights[1] * sum(scraps))
        return model.getObjectiveValue()

    fresh = round(least((1, 0)))
    return fresh, round(least((0, 1), fresh))


def main():
    wrong = 0
    for number, line in enumerate(sys.stdin):
        case = json.loads(line)
        if "maze" in case:
            told, found = case["cost"], maze(case)
        else:
            told, found = (case["fresh"], case["waste"]), cuts(case)
        if told != found:
            wrong += 1
            print(f"case {number}: {told} told, {found} found")
    return 1 if wrong else 0


sys.exit(main())
