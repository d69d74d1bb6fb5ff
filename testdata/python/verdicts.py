"""Keeps every verdict of a station once, whenever it is killed.

Usage: verdicts.py ADDRESS GENERATED_DIR FILE

Each line of the file is a verdict: its number in the history, its job and its outcome.
The last line says where to go on.
"""

import os
import sys

address, generated, name = sys.argv[1:4]
sys.path.insert(0, generated)

import grpc  # noqa: E402
from gauged.v1 import job_pb2, job_pb2_grpc  # noqa: E402

after = 0
if os.path.exists(name):
    with open(name) as kept:
        for line in kept:
            after = int(line.split()[0])

jobs = job_pb2_grpc.JobServiceStub(grpc.insecure_channel(address))
with open(name, "a") as keep:
    for event in jobs.WatchJobs(job_pb2.WatchJobsRequest(after_seq=after, verdicts_only=True)):
        if event.WhichOneof("event") == "change":
            c = event.change
            os.write(keep.fileno(), f"{c.seq} {c.job_id} {c.outcome}\n".encode())  # whole or not at all
