"""The job on a sparse level set (OpenVDB through its Python module): signed distances near the surface only, in a tree.

For each move the distances in its box are copied out, the sweep is taken away (the larger of the old distance and minus the
sweep's own), and the box is copied back. The volume is that of the surface which the library extracts.
"""

import argparse

import numpy
import pyopenvdb

import outcome
import program

# Width of the band that holds distances on each side of the surface, cells: the library's usual one.
BAND = 3


class LevelSet:
    """Signed distance to the surface of the material, mm, below zero in it; the middle of cell (0, 0, 0) is the origin."""

    def __init__(self, job, spacing):
        self.spacing, self.far = spacing, BAND * spacing
        self.grid = pyopenvdb.FloatGrid(self.far)
        self.grid.transform = pyopenvdb.createLinearTransform(spacing)
        self.grid.gridClass = pyopenvdb.GridClass.LEVEL_SET
        first, shape = self.window(job.low, job.high)
        self.store(block_distance(self.axes(first, shape), job), first)
        self.top = job.high[2] + self.far

    def window(self, low, high):
        """The cells of a box grown by the band: first cell and numbers of cells."""
        first = [int(numpy.floor((c - self.far) / self.spacing)) for c in low]
        last = [int(numpy.ceil((c + self.far) / self.spacing)) for c in high]
        return first, [b - a + 1 for a, b in zip(first, last)]

    def axes(self, first, shape):
        return [(self.spacing * (f + numpy.arange(n))).astype(numpy.float32) for f, n in zip(first, shape)]

    def store(self, distance, first):
        numpy.clip(distance, -self.far, self.far, out=distance)
        # Where all cells of a leaf are alike, the tree keeps one value for them.
        self.grid.copyFromArray(distance, ijk=first, tolerance=0)

    def cut(self, a, b, z, radius):
        low = (min(a[0], b[0]) - radius, min(a[1], b[1]) - radius, z)
        high = (max(a[0], b[0]) + radius, max(a[1], b[1]) + radius, self.top)
        first, shape = self.window(low, high)
        distance = numpy.empty(shape, numpy.float32)
        self.grid.copyToArray(distance, ijk=first)
        x, y, height = self.axes(first, shape)
        flat = stadium_distance(x[:, None], y[None, :], a, b, radius)
        # Minus the distance to the stadium with all above `z`: near its edge the larger of the two stands for it.
        numpy.maximum(distance, numpy.minimum(-flat[:, :, None], (height - numpy.float32(z))), out=distance)
        self.store(distance, first)

    def volume(self):
        points, quads = self.grid.convertToQuads()
        p = [points[quads[:, k]].astype(numpy.float64) for k in range(4)]
        half = lambda u, v, w: float(numpy.einsum("ij,ij->i", u, numpy.cross(v, w)).sum()) / 6
        return abs(half(p[0], p[1], p[2]) + half(p[0], p[2], p[3]))


def block_distance(axes, job):
    outside = [
        numpy.maximum(low - c, c - high).astype(numpy.float32) for c, low, high in zip(axes, job.low, job.high)
    ]
    x, y, z = outside
    return numpy.maximum(numpy.maximum(x[:, None, None], y[None, :, None]), z[None, None, :])


def stadium_distance(x, y, a, b, radius):
    """Signed distance of points from a disc moved from a to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    x, y = x - numpy.float32(a[0]), y - numpy.float32(a[1])
    t = numpy.clip((x * dx + y * dy) / (dx * dx + dy * dy), 0.0, 1.0)
    return numpy.hypot(x - t * dx, y - t * dy).astype(numpy.float32) - numpy.float32(radius)


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("folder")
    arguments.add_argument("--spacing", type=float, default=0.2)
    given = arguments.parse_args()
    job = program.read(given.folder)
    clock = outcome.Clock()
    level_set = LevelSet(job, given.spacing)
    raw = level_set.volume()
    for a, b, z in program.level_cuts(job):
        level_set.cut(a, b, z, job.radius)
    removed = raw - level_set.volume()
    block = numpy.prod(numpy.subtract(job.high, job.low))
    outcome.tell(removed, clock.read(), bytes=level_set.grid.memUsage(), block_error=raw / float(block) - 1.0)


if __name__ == "__main__":
    main()
