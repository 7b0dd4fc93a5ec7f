"""What every peer prints: one line of JSON that `run.py` reads."""

import json
import resource
import time


class Clock:
    """Wall and processor time since it was made, seconds."""

    def __init__(self):
        self.wall, self.used = time.perf_counter(), processor()

    def read(self):
        return {"cut_wall": time.perf_counter() - self.wall, "cut_processor": processor() - self.used}


def processor():
    own = resource.getrusage(resource.RUSAGE_SELF)
    return own.ru_utime + own.ru_stime


def tell(removed, times, **more):
    print(json.dumps({"removed": removed, **times, **more}), flush=True)
