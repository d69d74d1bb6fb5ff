"""Sends the readings of a file to a station: feed.py ADDRESS SOURCE FILE.

Each line is one, such as "press 46.415 mm", and its number that of the reading. It can be
killed at any time: the next run goes on where the station has nothing yet.
"""

import itertools
import queue
import sys

import grpc

from station import connect, wait_out
from gauged.v1 import gauge_pb2 as g, gauge_pb2_grpc, reading_pb2 as r

UNITS = {"mm": r.UNIT_MILLIMETRE, "in": r.UNIT_INCH}
AT_ONCE = 500


def readings(name):
    with open(name) as lines:
        for n, line in enumerate(lines, 1):
            words = line.split()
            if len(words) != 3 or words[2] not in UNITS:
                sys.exit(f"{name}:{n}: {line.strip()!r} is not GAUGE VALUE UNIT, with mm or in")
            yield g.IngestedReading(source_seq=n, gauge_id=words[0], shown=words[1], unit=UNITS[words[2]])


def feed(gauges, source, name):
    requests = queue.Queue()  # of one request: the next one waits until it is acknowledged
    try:
        answers = gauges.IngestReadings(iter(requests.get, None), wait_for_ready=True)
        requests.put(g.IngestReadingsRequest(source=source))
        through = next(answers).durable_through_seq
        print("stored before:", through, flush=True)
        new = itertools.islice(readings(name), through, None)
        while part := list(itertools.islice(new, AT_ONCE)):
            requests.put(g.IngestReadingsRequest(readings=part))
            while through < part[-1].source_seq:
                answer = next(answers)
                through = answer.durable_through_seq
                for no in answer.refused:
                    print("refused:", no.source_seq, no.reason.code, flush=True)
        print("stored:", through, flush=True)
    finally:
        requests.put(None)


address, source, name = sys.argv[1:4]
with connect(address) as channel:
    while True:
        try:
            feed(gauge_pb2_grpc.GaugeServiceStub(channel), source, name)
            break
        except grpc.RpcError as error:
            wait_out(error)
