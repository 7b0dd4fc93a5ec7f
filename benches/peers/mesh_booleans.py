"""The job by mesh booleans (manifold3d): each move's swept body is a closed mesh, all are subtracted from the block.

A level move of a flat cutter sweeps a stadium, a disc moved along a line, extruded from its floor to above the block. The
half circles have `--edges` edges each, corners on the circle. After each step flat faces are joined, which keeps the mesh
small. One body a step was the fastest of all ways tried (README.md); `--batch` hands over more at once.
"""

import argparse

import manifold3d
import numpy

import exact
import outcome
import program


def body(a, b, z, radius, top, edges):
    corners = numpy.array(exact.stadium(a, b, radius, edges))
    return manifold3d.CrossSection([corners]).extrude(top - z).translate((0.0, 0.0, z))


# What may be flattened, mm: a nanometre.
FLAT = 1e-6


def block(job):
    size = [high - low for low, high in zip(job.low, job.high)]
    return manifold3d.Manifold.cube(size).translate(job.low)


def cut(job, edges, batch):
    left, top = block(job), job.high[2] + 1.0
    cuts = program.level_cuts(job)
    for start in range(0, len(cuts), batch):
        bodies = [body(a, b, z, job.radius, top, edges) for a, b, z in cuts[start : start + batch]]
        left = manifold3d.Manifold.batch_boolean([left, *bodies], manifold3d.OpType.Subtract)
        # One mesh again, so that flat faces left by many bodies become one.
        left = left.as_original().simplify(FLAT)
    if left.status() != manifold3d.Error.NoError:
        raise ValueError(f"no solid is left: {left.status()}")
    return left


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("folder")
    arguments.add_argument("--edges", type=int, default=32)
    arguments.add_argument("--batch", type=int, default=1)
    given = arguments.parse_args()
    job = program.read(given.folder)
    clock = outcome.Clock()
    left = cut(job, given.edges, given.batch)
    removed = block(job).volume() - left.volume()
    done = clock.read()
    polygons = exact.volume_of_polygons(job, exact.straight_runs(program.level_cuts(job)), given.edges)
    outcome.tell(removed, done, polygons=polygons, triangles=left.num_tri())


if __name__ == "__main__":
    main()
