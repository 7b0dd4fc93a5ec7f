"""Reads a made-up job as `engine -- write flat-N FOLDER` writes it: the very program that is measured.

Understands just what such a program says (G0, G1, X, Y, Z, one tool) and stops at anything else.
"""

import json
import pathlib
import re
from dataclasses import dataclass

WORD = re.compile(r"([A-Z])(-?[0-9]*\.?[0-9]*)")
SETTINGS = {"G21", "G17", "G40", "G49", "G80", "G90", "G94", "G54"}


@dataclass
class Job:
    """Millimetres. A cut is ((x, y, z) from, (x, y, z) to), at feed, in order."""

    low: tuple
    high: tuple
    radius: float
    cuts: list


def read(folder):
    """The block, the cutter and the moves at feed. Rapids of a flat job meet nothing and are left out, which spares
    every peer some work."""
    folder = pathlib.Path(folder)
    job = json.loads((folder / "job.json").read_text())
    tools = json.loads((folder / "tools.json").read_text())["tools"]
    number, moves = moves_of((folder / "program.nc").read_text())
    tool = next(t for t in tools if t["number"] == number)
    if tool["kind"] != "end-mill" or job["units"] != "mm":
        raise ValueError("only end mills, only millimetres")
    box = job["stock"]["box"]
    cuts = [(a, b) for motion, a, b in moves if motion == "G1"]
    if any(a[2] != b[2] and a[:2] != b[:2] for a, b in cuts):
        raise ValueError("a cut that is neither level nor upright")
    return Job(tuple(box["min"]), tuple(box["max"]), tool["diameter"] / 2, cuts)


def moves_of(text):
    """The tool's number and its moves: (motion, from, to)."""
    tool, motion, at, moves = None, None, {}, []
    for line in text.splitlines():
        words = WORD.findall(line)
        if line == "%" or not words:
            continue
        to = dict(at)
        for letter, value in words:
            word = letter + value
            if letter in "XYZ":
                to[letter] = float(value)
            elif word in ("G0", "G1"):
                motion = word
            elif letter == "T":
                if tool is not None:
                    raise ValueError("one tool only")
                tool = int(value)
            elif word not in SETTINGS and letter not in "FSHM" and word != "G43":
                raise ValueError(f"{word} is not understood: {line}")
        if to != at and len(at) == 3:
            moves.append((motion, place(at), place(to)))
        at = to
    return tool, moves


def place(at):
    return (at["X"], at["Y"], at["Z"])


def level_cuts(job):
    """Level moves only: ((x, y) from, (x, y) to, z). What the plunges take, the level moves that follow take too."""
    return [(a[:2], b[:2], a[2]) for a, b in job.cuts if a[2] == b[2]]
