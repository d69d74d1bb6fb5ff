"""Keeps each verdict of a station once, whenever it is killed: verdicts.py ADDRESS FILE.

Each line is a verdict with its place in the history, from which the next run goes on. The
outcome OUTCOME_MEASURING takes the verdict of its job back.
"""

import sys

from station import connect, keep, place, shown, watch
from gauged.v1 import evaluation_pb2 as e, job_pb2 as j, job_pb2_grpc

address, name = sys.argv[1:3]
request = j.WatchJobsRequest(verdicts_only=True, **place(name))
with connect(address) as channel:
    for kind, event in watch(job_pb2_grpc.JobServiceStub(channel).WatchJobs, request):
        if kind == "change":
            keep(name, request, job=event.job_id, unit=event.unit_serial, outcome=shown(e.Outcome, event.outcome))
