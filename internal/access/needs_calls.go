package access

// callNeeds are what the methods of gRPC need.
var callNeeds = together(
	each(PlaceCall, "/gauged.v1.GaugeService/", map[Need]string{
		read: "ListGauges GetGauge WatchReadings",
		feed: "IngestReadings",
	}),
	each(PlaceCall, "/gauged.v1.EvaluationService/", map[Need]string{
		read: "Evaluate",
		feed: "StreamEvaluations",
	}),
	each(PlaceCall, "/gauged.v1.ProcedureService/", map[Need]string{
		read:   "ListProcedures GetProcedure",
		decide: "ReloadProcedures",
	}),
	each(PlaceCall, "/gauged.v1.JobService/", map[Need]string{
		read: "GetJob GetJobDocument ListJobs WatchJob WatchJobs",
		work: "StartJob AcknowledgeCautions CaptureReading EnterReading CaptureMotion DiscardReading ChoosePart RecordFittedPart VerifyJob BeginRound SetJobAside ResumeJob",
		sign: "CloseJob CorrectUnitSerial SetJobLabels",
	}),
	each(PlaceCall, "/gauged.v1.HealthService/", map[Need]string{
		read:   "ListHealth GetHealth ListMasters ListChecks GetCheckDocument ListStandings FindSigns",
		work:   "BeginCheck LeaveCheck RecordCheck RecordZeroReturn",
		lead:   "ImportChecks Recall",
		decide: "VoidCheck SetStanding DecideRecall",
	}),
	each(PlaceCall, "/gauged.v1.HistoryService/", map[Need]string{
		read:   "ListReadings ListRejects ListStateChanges ListJobFacts GetFile ReplayVerdicts VerifyHistory",
		govern: "BackUpHistory",
	}),
	each(PlaceCall, "/gauged.v1.StudyService/", map[Need]string{
		read: "ListStudies GetStudy",
		lead: "RecordStudy",
	}),
	each(PlaceCall, "/gauged.v1.ExitService/", map[Need]string{
		read: "ListExits ListDeadLetters",
		lead: "PauseExit ResumeExit SendDeadLetters",
	}),
	each(PlaceCall, "/gauged.v1.ServerService/", map[Need]string{
		read: "GetServerInfo",
	}),
	each(PlaceCall, "/gauged.v1.AccessService/", map[Need]string{
		read:    "WhoAmI",
		lead:    "ListAccessEntries",
		oversee: "ListPeople ListTokens ListDevices",
		govern:  "AddPerson ChangePerson RemovePerson MakeToken RevokeToken BeginPairing UnpairDevice",
	}),
	each(PlaceCall, "/grpc.health.v1.Health/", map[Need]string{
		open: "Check List Watch",
	}),
	each(PlaceCall, "/grpc.reflection.v1.ServerReflection/", map[Need]string{
		read: "ServerReflectionInfo",
	}),
	each(PlaceCall, "/grpc.reflection.v1alpha.ServerReflection/", map[Need]string{
		read: "ServerReflectionInfo",
	}),
)
