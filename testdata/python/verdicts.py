"""Keeps every verdict of a station once, whenever it is killed.

Usage: verdicts.py ADDRESS GENERATED_DIR FILE

Each line of the file is a verdict: its number in the history, its job and its outcome;
or that the verdict of a job was taken back. The last line says where to go on. What
stands is printed as it changes: a verdict that was taken back is dropped. FILE.stretch
says of which stretch of the history the numbers are: when a copy of it was restored, the
station refuses to go on, and the program ends with its words.
"""

import os
import sys

address, generated, name = sys.argv[1:4]
sys.path.insert(0, generated)

import grpc  # noqa: E402
from gauged.v1 import evaluation_pb2, job_pb2, job_pb2_grpc  # noqa: E402

after = 0
stands = {}  # outcome by job


def take(seq, job, outcome):
    global after
    after = seq
    stands[job] = outcome
    if outcome == evaluation_pb2.OUTCOME_MEASURING:
        del stands[job]


if os.path.exists(name):
    with open(name) as kept:
        for line in kept:
            take(*map(int, line.split()))

stretch = ""
if os.path.exists(name + ".stretch"):
    with open(name + ".stretch") as kept:
        stretch = kept.read()

jobs = job_pb2_grpc.JobServiceStub(grpc.insecure_channel(address))
with open(name, "a") as keep:
    for event in jobs.WatchJobs(job_pb2.WatchJobsRequest(after_seq=after, stretch_id=stretch, verdicts_only=True)):
        if event.WhichOneof("event") == "start":
            with open(name + ".new", "w") as kept:
                kept.write(event.start.stretch_id)
            os.replace(name + ".new", name + ".stretch")
        else:
            c = event.change
            os.write(keep.fileno(), f"{c.seq} {c.job_id} {c.outcome}\n".encode())  # whole or not at all
            take(c.seq, c.job_id, c.outcome)
            print(*sorted(stands.items()), flush=True)
