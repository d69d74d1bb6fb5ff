"""A whole job over gRPC, with the generated Python client.

Usage: client.py ADDRESS GENERATED_DIR

It watches readings while it types a job's values in, and prints the readings it
saw, the recommended part and the verdict. The procedure is the demonstration's.
"""

import sys
import threading

address, generated = sys.argv[1:3]
sys.path.insert(0, generated)

import grpc  # noqa: E402
from gauged.v1 import evaluation_pb2, gauge_pb2, gauge_pb2_grpc, job_pb2, job_pb2_grpc, reading_pb2  # noqa: E402

MM = reading_pb2.UNIT_MILLIMETRE


def watch(gauges, started, seen, wanted):
    """Collects readings until there are enough."""
    for event in gauges.WatchReadings(gauge_pb2.WatchReadingsRequest()):
        kind = event.WhichOneof("event")
        if kind == "start":
            started.set()
        if kind == "reading":
            seen.append(event.reading)
            if len(seen) == wanted:
                return


def main():
    channel = grpc.insecure_channel(address)
    gauges = gauge_pb2_grpc.GaugeServiceStub(channel)
    jobs = job_pb2_grpc.JobServiceStub(channel)

    values = ["46.415", "46.412", "46.418", "45.030", "45.036"]
    proof = ["0.012", "0.190"]
    started, seen = threading.Event(), []
    watcher = threading.Thread(target=watch, args=(gauges, started, seen, len(values + proof)), daemon=True)
    watcher.start()
    if not started.wait(10):
        sys.exit("the watch has not begun")

    job = jobs.StartJob(job_pb2.StartJobRequest(
        procedure_id="output-shaft-ring", unit_serial="L2-0990", by="python")).job

    def enter(shown):
        return jobs.EnterReading(job_pb2.EnterReadingRequest(
            job_id=job.id, shown=shown, unit=MM, instrument="depth gauge")).job

    for shown in values:
        state = enter(shown)
    print("recommended", state.evaluation.fits[0].choice.grade.part)
    jobs.ChoosePart(job_pb2.ChoosePartRequest(job_id=job.id))
    jobs.RecordFittedPart(job_pb2.RecordFittedPartRequest(job_id=job.id, thickness="1.498", unit=MM))
    for shown in proof:
        state = enter(shown)
    state = jobs.VerifyJob(job_pb2.VerifyJobRequest(job_id=job.id)).job
    jobs.CloseJob(job_pb2.CloseJobRequest(job_id=job.id))

    watcher.join(10)
    print("seen", " ".join(r.value.text for r in seen))
    print("measured", state.evaluation.verification.measured.text, "mm")
    print("conforms" if state.evaluation.outcome == evaluation_pb2.OUTCOME_CONFORMS else "does not conform")
    try:
        jobs.GetJob(job_pb2.GetJobRequest(job_id=999))
    except grpc.RpcError as err:
        print("error", err.code().name)


main()
