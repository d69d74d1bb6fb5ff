"""Keeps each reading of a station once, whenever it is killed: readings.py ADDRESS FILE.

Each line is a reading with its place in the history, from which the next run goes on.
"""

import sys

from station import connect, keep, place, shown, watch
from gauged.v1 import gauge_pb2 as g, gauge_pb2_grpc, reading_pb2 as r

address, name = sys.argv[1:3]
request = g.WatchReadingsRequest(**place(name))
with connect(address) as channel:
    for kind, event in watch(gauge_pb2_grpc.GaugeServiceStub(channel).WatchReadings, request):
        if kind == "reading":
            keep(name, request, gauge=event.gauge_id, value=event.value.text, unit=shown(r.Unit, event.value.unit))
