package access

// pageNeeds are what the routes of the bench page need.
var pageNeeds = together(
	each(PlacePage, "GET ", map[Need]string{
		open: "/assets/{version}/{name} /pair",
		read: `/{$} /who /start /start/stream /jobs /jobs.csv /jobs/{id} /jobs/{id}/stream /jobs/{id}/sheet /jobs/{id}/sheet.pdf
			/gauges /gauges/stream /gauges/{id} /gauges/{id}/stream /gauges/{id}/drift.svg /gauges/{id}/control/{chart} /gauges/{id}/checks/{seq}/sheet.pdf
			/gauges/{id}/check /gauges/{id}/check/stream /gauges/{id}/study /gauges/{id}/study/stream
			/gauges/{id}/study/checks /gauges/{id}/study/checks/{chart} /studies/{seq} /studies/{seq}/{chart} /troubles/stream
			/procedures /procedures/{id} /parts/{id} /versions/{hash} /versions/{hash}/text /versions/{hash}/drawing`,
		lead: "/gauges/{id}/recall /gauges/{id}/recall.csv /procedures/{id}/edit /parts/{id}/edit",
	}),
	each(PlacePage, "POST ", map[Need]string{
		open: "/settings /pair",
		read: "/who /leave",
		work: `/jobs /jobs/{id}/acknowledge /jobs/{id}/take /jobs/{id}/enter /jobs/{id}/discard /jobs/{id}/choose /jobs/{id}/fit
			/jobs/{id}/round /jobs/{id}/aside /jobs/{id}/gauge /jobs/{id}/resume /jobs/{id}/zero /jobs/{id}/motion /jobs/{id}/motion/stop
			/gauges/{id}/check /gauges/{id}/check/take /gauges/{id}/check/drop /gauges/{id}/check/adjusted
			/gauges/{id}/check/record /gauges/{id}/check/cancel`,
		sign: "/jobs/{id}/sign /jobs/{id}/close /jobs/{id}/serial /jobs/{id}/labels",
		lead: `/gauges/{id}/study /gauges/{id}/study/take /gauges/{id}/study/drop /gauges/{id}/study/record
			/gauges/{id}/study/cancel /gauges/{id}/study/checks /procedures/{id}/edit /parts/{id}/edit`, // to save is EditOf
		decide: "/gauges/{id}/standing /gauges/{id}/void /gauges/{id}/recall",
	}),
	map[Way]Need{Page("/"): open}, // says that there is no such page
)
