// Keeps each verdict of a station once, whenever it is killed: verdicts.mjs ADDRESS FILE. Each
// line is a verdict with its place in the history, from which the next run goes on. The outcome
// OUTCOME_MEASURING takes the verdict of its job back.
import { keep, place, service, watch } from './station.mjs'

const [address, name] = process.argv.slice(2)
const request = { ...place(name), verdicts_only: true }
const jobs = service(address, 'JobService')
for await (const { kind, event } of watch((from) => jobs.WatchJobs(from), request)) {
  if (kind === 'change') keep(name, request, { job: event.job_id, unit: event.unit_serial, outcome: event.outcome })
}
