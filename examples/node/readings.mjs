// Keeps each reading of a station once, whenever it is killed: readings.mjs ADDRESS FILE. Each
// line is a reading with its place in the history, from which the next run goes on.
import { keep, place, service, watch } from './station.mjs'

const [address, name] = process.argv.slice(2)
const request = place(name)
const gauges = service(address, 'GaugeService')
for await (const { kind, event } of watch((from) => gauges.WatchReadings(from), request)) {
  if (kind === 'reading') keep(name, request, { gauge: event.gauge_id, value: event.value.text, unit: event.value.unit })
}
