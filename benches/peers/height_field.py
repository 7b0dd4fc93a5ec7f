"""The job on a height field with numpy: one grid of heights over the block, seen from above.

For each move the cells of its box are taken out of the grid at once, those whose middle lies in the stadium (nearer to the
line than the radius) are lowered to the move's floor. Single precision, arrays made once: the fastest of the ways tried.
"""

import argparse

import numpy

import outcome
import program


class Field:
    """Heights at the middles of cells `spacing` apart, mm."""

    def __init__(self, job, spacing):
        self.low, self.spacing = job.low, spacing
        self.cells = [round((high - low) / spacing) for low, high in zip(job.low[:2], job.high[:2])]
        self.x, self.y = (
            (low + spacing * (numpy.arange(n) + 0.5)).astype(numpy.float32) for low, n in zip(job.low, self.cells)
        )
        self.heights = numpy.full(self.cells, job.high[2], numpy.float32)

    def window(self, axis, low, high):
        """Cells whose middles lie between two places."""
        first = int(numpy.ceil((low - self.low[axis]) / self.spacing - 0.5))
        last = int(numpy.floor((high - self.low[axis]) / self.spacing - 0.5))
        return slice(max(first, 0), min(last + 1, self.cells[axis]))

    def cut(self, a, b, z, radius):
        i = self.window(0, min(a[0], b[0]) - radius, max(a[0], b[0]) + radius)
        j = self.window(1, min(a[1], b[1]) - radius, max(a[1], b[1]) + radius)
        x, y = (self.x[i] - numpy.float32(a[0]))[:, None], (self.y[j] - numpy.float32(a[1]))[None, :]
        dx, dy = b[0] - a[0], b[1] - a[1]
        length = (dx * dx + dy * dy) ** 0.5
        ux, uy = numpy.float32(dx / length), numpy.float32(dy / length)
        # Distance along the line beyond its ends, and across it.
        along = x * ux + y * uy
        along -= numpy.clip(along, numpy.float32(0.0), numpy.float32(length))
        across = x * uy - y * ux
        along *= along
        across *= across
        along += across
        heights = self.heights[i, j]
        numpy.minimum(heights, numpy.float32(z), out=heights, where=along < numpy.float32(radius * radius))


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("folder")
    arguments.add_argument("--spacing", type=float, default=0.1)
    given = arguments.parse_args()
    job = program.read(given.folder)
    clock = outcome.Clock()
    field = Field(job, given.spacing)
    for a, b, z in program.level_cuts(job):
        field.cut(a, b, z, job.radius)
    depth = job.high[2] - field.heights.astype(numpy.float64)
    removed = float(depth.sum()) * given.spacing**2
    outcome.tell(removed, clock.read(), cells=field.heights.size)


if __name__ == "__main__":
    main()
