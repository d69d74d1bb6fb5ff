"""What the programs beside it share: the way to a station, its refusals, and watching it."""

import json
import os
import sys
import time

import grpc

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "generated"))

import google_rpc_pb2 as rpc  # noqa: E402

AWAY = grpc.StatusCode.UNAVAILABLE, grpc.StatusCode.CANCELLED
PAUSES = ("grpc.initial_reconnect_backoff_ms", 250), ("grpc.max_reconnect_backoff_ms", 5000)


def connect(address):
    """Returns a channel: plain, or with CA and TOKEN_FILE in the environment over TLS with a token."""
    authority, token = os.environ.get("CA"), os.environ.get("TOKEN_FILE")
    if not authority:
        return grpc.insecure_channel(address, PAUSES)
    with open(authority, "rb") as file:
        credentials = grpc.ssl_channel_credentials(file.read())
    if token:
        def show(_, done):  # at each call, so that a new token is taken
            with open(token) as file:
                done([("authorization", "Bearer " + file.read().strip())], None)
        credentials = grpc.composite_channel_credentials(credentials, grpc.metadata_call_credentials(show))
    return grpc.secure_channel(address, credentials, PAUSES)


def refusal(error):
    """Returns why the station refused: .reason is the code to go by, .metadata its arguments."""
    info = rpc.ErrorInfo()
    for key, value in error.trailing_metadata() or ():
        if key == "grpc-status-details-bin":
            any(detail.Unpack(info) for detail in rpc.Status.FromString(value).details)
    return info


def wait_out(error):
    """Waits a little where the station is away, and ends the program where it refused."""
    if error.code() not in AWAY:
        sys.exit(f"{refusal(error).reason or error.code().name}: {error.details()}")
    print("the station is away: waiting", file=sys.stderr)
    time.sleep(0.5)


def watch(call, request):
    """Yields the events of a watch with their kind, over outages; request then has the place behind them."""
    while True:
        try:
            for answer in call(request, wait_for_ready=True):
                kind = answer.WhichOneof("event")
                if kind is None:
                    continue  # a later station may have more kinds
                event = getattr(answer, kind)
                if kind == "start":
                    request.stretch_id = event.stretch_id
                if kind == "lag":
                    print(f"behind: at {event.after_seq} of {event.newest_seq}", file=sys.stderr)
                request.after_seq = event.after_seq if kind in ("start", "lag") else event.seq
                yield kind, event
        except grpc.RpcError as error:
            wait_out(error)


def place(name):
    """Returns the place of the last line that a file keeps."""
    found = {"after_seq": 0, "stretch_id": ""}
    if os.path.exists(name):
        with open(name) as lines:
            for line in lines:
                kept = json.loads(line)
                found = {key: kept[key] for key in found}
    return found


def keep(name, request, **what):
    """Adds a line with its place to a file, whole or not at all."""
    line = {"after_seq": request.after_seq, "stretch_id": request.stretch_id, **what}
    with open(name, "ab", buffering=0) as file:
        file.write(json.dumps(line).encode() + b"\n")


def shown(enum, value):
    """Returns the name of a value of a closed list, or the number of one that a later station has."""
    return enum.Name(value) if value in enum.values() else value
