package message

import (
	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/job"
	"gauged/internal/wire"
)

var stages = []wire.Pair[job.Stage, gaugedv1.JobStage]{
	wire.Means(job.Stage(""), gaugedv1.JobStage_JOB_STAGE_UNSPECIFIED),
	wire.Means(job.StageMeasure, gaugedv1.JobStage_JOB_STAGE_MEASURE),
	wire.Means(job.StageChoose, gaugedv1.JobStage_JOB_STAGE_CHOOSE),
	wire.Means(job.StageFit, gaugedv1.JobStage_JOB_STAGE_FIT),
	wire.Means(job.StageVerify, gaugedv1.JobStage_JOB_STAGE_VERIFY),
	wire.Means(job.StageDecided, gaugedv1.JobStage_JOB_STAGE_DECIDED),
	wire.Means(job.StageClosed, gaugedv1.JobStage_JOB_STAGE_CLOSED),
	wire.Means(job.StageAside, gaugedv1.JobStage_JOB_STAGE_ASIDE),
}

// Stage returns the stage of the contract.
func Stage(s job.Stage) gaugedv1.JobStage { return wire.Contract(stages, s) }
