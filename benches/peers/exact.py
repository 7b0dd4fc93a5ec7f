"""Volume that a flat job takes from the block, by a method of its own: areas of unions of polygons, extrapolated.

At each level the tool passes over a union of stadiums (a disc moved along a line). Moves that lie on one line and join are
one stadium. Its half circles become polygons with n edges inside the circle; the area of the union then falls short by a
term in 1/n^2, which is removed by extrapolation (L. F. Richardson 1911). Height by height the levels at and below it count.
"""

import json
import math
import sys

import shapely

import program


def straight_runs(cuts):
    """Level moves joined while they run on along one line, by whole numbers of 0.1 micrometres."""
    whole = lambda p: tuple(round(c * 10000) for c in p)
    runs = []
    for a, b, z in cuts:
        a, b = whole(a), whole(b)
        if runs and runs[-1][2] == z and runs[-1][1] == a and runs_on(runs[-1][0], a, b):
            runs[-1] = (runs[-1][0], b, z)
        else:
            runs.append((a, b, z))
    scale = lambda p: (p[0] / 10000, p[1] / 10000)
    return [(scale(a), scale(b), z) for a, b, z in runs]


def runs_on(start, middle, end):
    u = (middle[0] - start[0], middle[1] - start[1])
    v = (end[0] - middle[0], end[1] - middle[1])
    return u[0] * v[1] == u[1] * v[0] and u[0] * v[0] + u[1] * v[1] > 0


def stadium(a, b, radius, edges):
    """Corners of a disc moved from a to b; `edges` to each half circle, corners on the circle."""
    along = math.atan2(b[1] - a[1], b[0] - a[0])
    corners = []
    for centre, first in ((b, along - math.pi / 2), (a, along + math.pi / 2)):
        for k in range(edges + 1):
            t = first + math.pi * k / edges
            corners.append((centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)))
    return corners


def volume_of_polygons(job, runs, edges):
    """Volume of the union with polygons for circles, mm3."""
    levels = sorted({z for _, _, z in runs})
    below, volume, area = [], 0.0, 0.0
    for z, top in zip(levels, levels[1:] + [job.high[2]]):
        below += [shapely.Polygon(stadium(a, b, job.radius, edges)) for a, b, at in runs if at == z]
        whole = shapely.unary_union(below)
        below, area = [whole], whole.area
        volume += area * (top - z)
    return volume


def volume(job):
    """The exact volume, mm3, and how far the last two extrapolations differ."""
    runs = straight_runs(program.level_cuts(job))
    row = [volume_of_polygons(job, runs, edges) for edges in (128, 256, 512)]
    better = [(4 * fine - coarse) / 3 for coarse, fine in zip(row, row[1:])]
    return better[1], abs(better[1] - better[0])


def main():
    job = program.read(sys.argv[1])
    exact, doubt = volume(job)
    print(json.dumps({"removed": exact, "doubt": doubt}))


if __name__ == "__main__":
    main()
