"""Every peer and `proofcut check` on the same job, one after the other, in one table.

    python3 benches/peers/run.py                       # 22,630 flat moves, builds proofcut first
    python3 benches/peers/run.py --job flat-3500       # while developing

Each runs as a process of its own on the same two processors; wall, processor and most memory are those of the whole
process, start and reading included, as the system counts them. Short ones are run several times, the fastest counts.
Run with the interpreter in which requirements.txt is installed.
"""

import argparse
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
# A process shorter than this is run again, seconds, and how often.
SHORT, RUNS = 10.0, 5


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--job", default="flat-22630", help="a flat job, as the benches name it")
    arguments.add_argument("--processors", type=int, default=2)
    arguments.add_argument("--skip", action="append", default=[], help="leave out peers whose name has this in it")
    arguments.add_argument("--proofcut", type=pathlib.Path, help="a binary to use instead of building one")
    given = arguments.parse_args()
    pin(given.processors)
    binary = given.proofcut or build()
    with tempfile.TemporaryDirectory() as folder:
        write_job(given.job, folder)
        exact = answer([sys.executable, HERE / "exact.py", folder])
        print(f"{given.job}: {exact['removed']:.6f} mm3 to take, certain to {exact['doubt']:.1e} mm3\n")
        print("| what | wall | processor | most memory | volume error | besides |\n|---|---|---|---|---|---|", flush=True)
        for name, command in peers(folder, binary):
            if not any(word in name for word in given.skip):
                print(row(name, command, exact["removed"]), flush=True)


def pin(count):
    """This process, and so all that it starts, to the same few processors, and libraries to as many threads."""
    some = sorted(os.sched_getaffinity(0))[:count]
    os.sched_setaffinity(0, some)
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "RAYON_NUM_THREADS"):
        os.environ[name] = str(len(some))


def build():
    command = ["cargo", "build", "--release", "--quiet", "-p", "proofcut", "--no-default-features"]
    subprocess.run(command, cwd=ROOT, check=True)
    folder = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    return folder / "release" / "proofcut"


def write_job(job, folder):
    bench = ["cargo", "bench", "--quiet", "-p", "proofcut-benches", "--bench", "engine", "--", "write", job, folder]
    subprocess.run(bench, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)


def peers(folder, binary):
    own = [sys.executable]
    yield "proofcut check, three grids, 0.1 mm", [binary, "check", f"{folder}/job.json", "--quiet", "--json", f"{folder}/result.json"]
    yield "height field (numpy), one grid, 0.1 mm", own + [HERE / "height_field.py", folder]
    other = with_module("pyopenvdb")
    if other:
        yield "sparse level set (OpenVDB), 0.2 mm", [other, HERE / "sparse_level_set.py", folder]
    else:
        print("(no interpreter has pyopenvdb: the sparse level set is left out)")
    yield "mesh booleans (manifold3d), 64 edges a circle", own + [HERE / "mesh_booleans.py", folder]


def with_module(module):
    """An interpreter that has a module: this one or the system's."""
    for python in (sys.executable, "/usr/bin/python3"):
        there = pathlib.Path(python).exists()
        if there and subprocess.run([python, "-c", f"import {module}"], capture_output=True).returncode == 0:
            return python
    return None


def answer(command):
    done = subprocess.run([str(part) for part in command], check=True, capture_output=True, text=True)
    return json.loads(done.stdout)


def row(name, command, exact):
    best, printed, runs = None, "", 0
    while best is None or (best["wall"] < SHORT and runs < RUNS):
        used, told = once(command)
        if best is None or used["wall"] < best["wall"]:
            best, printed = used, told
        runs += 1
    removed, besides = outcome(command, printed)
    error = removed / exact - 1.0
    wall, processor, memory = (best[key] for key in ("wall", "processor", "memory"))
    return f"| {name} | {wall:.3f} s | {processor:.3f} s | {memory / 1e6:.0f} MB | {error:+.1e} | {besides}fastest of {runs} |"


def once(command):
    """Runs a process; what it used and what it printed. Exit codes 0 and 1 are answers, others are failures."""
    with tempfile.TemporaryFile("w+") as out:
        start = time.perf_counter()
        process = subprocess.Popen([str(part) for part in command], stdout=out)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 1):
            raise SystemExit(f"{command[0]} ended with {process.returncode}")
        out.seek(0)
        used = {"wall": wall, "processor": usage.ru_utime + usage.ru_stime, "memory": usage.ru_maxrss * 1024}
        return used, out.read()


def outcome(command, printed):
    """Volume removed, and what else is worth a word."""
    if "--json" in command:
        result = json.loads(pathlib.Path(command[-1]).read_text())
        setup = result["setups"][0]
        return setup["volume_before"] - setup["volume_after"], f"verdict {result['verdict']}, "
    told = json.loads(printed.strip().splitlines()[-1])
    besides = f"cutting alone {told['cut_wall']:.2f} s, "
    if "polygons" in told:
        besides += f"against the union of its polygons {told['removed'] / told['polygons'] - 1.0:+.1e}, "
    return told["removed"], besides


if __name__ == "__main__":
    main()
