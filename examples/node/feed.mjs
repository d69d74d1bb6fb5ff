// Sends the readings of a file to a station: feed.mjs ADDRESS SOURCE FILE. Each line is one,
// such as "press 46.415 mm", and its number that of the reading. It can be killed at any time:
// the next run goes on where the station has nothing yet.
import { readFileSync } from 'node:fs'
import { service, waitOut } from './station.mjs'

const [address, source, name] = process.argv.slice(2)
const units = { mm: 'UNIT_MILLIMETRE', in: 'UNIT_INCH' }
const atOnce = 500

const readings = readFileSync(name, 'utf8').trimEnd().split('\n').map((line, i) => {
  const [gauge_id, shown, unit, ...more] = line.trim().split(/\s+/)
  if (!units[unit] || more.length) {
    console.error(`${name}:${i + 1}: "${line}" is not GAUGE VALUE UNIT, with mm or in`)
    process.exit(1)
  }
  return { source_seq: i + 1, gauge_id, shown, unit: units[unit] }
})

async function feed(gauges) {
  const stream = gauges.IngestReadings()
  stream.write({ source })
  let sent = -1
  for await (const answer of stream) { // of one request: the next one waits until it is acknowledged
    const through = Number(answer.durable_through_seq)
    for (const no of answer.refused) console.log('refused:', no.source_seq, no.reason.code)
    if (sent < 0) console.log('stored before:', through)
    if (through < sent) continue
    const part = readings.slice(through, through + atOnce)
    if (part.length === 0) {
      console.log('stored:', through)
      stream.end()
    } else {
      stream.write({ readings: part })
    }
    sent = through + part.length
  }
}

const gauges = service(address, 'GaugeService')
for (let over = false; !over;) {
  try {
    await feed(gauges)
    over = true
  } catch (error) {
    await waitOut(error)
  }
}
gauges.close()
