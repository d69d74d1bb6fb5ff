// What the programs beside it share: the way to a station, its refusals, and watching it.
import { appendFileSync, existsSync, readFileSync } from 'node:fs'
import { setTimeout as pause } from 'node:timers/promises'
import { fileURLToPath } from 'node:url'
import grpc from '@grpc/grpc-js'
import loader from '@grpc/proto-loader'

const here = (path) => fileURLToPath(new URL(path, import.meta.url))
const protos = grpc.loadPackageDefinition(loader.loadSync(
  ['gauged/v1/gauge.proto', 'gauged/v1/job.proto', 'google_rpc.proto'],
  { keepCase: true, longs: String, enums: String, defaults: true, oneofs: true, includeDirs: [here('../../api/proto'), here('..')] },
))
const { CA, TOKEN_FILE } = process.env

// A service: plain, or with CA and TOKEN_FILE in the environment over TLS with a token.
export function service(address, name) {
  const pauses = { 'grpc.initial_reconnect_backoff_ms': 250, 'grpc.max_reconnect_backoff_ms': 5000 }
  return new protos.gauged.v1[name](address, credentials(), pauses)
}

function credentials() {
  if (!CA) return grpc.credentials.createInsecure()
  const tls = grpc.credentials.createSsl(readFileSync(CA))
  if (!TOKEN_FILE) return tls
  const token = grpc.credentials.createFromMetadataGenerator((_, done) => { // at each call, so that a new one is taken
    const shown = new grpc.Metadata()
    shown.set('authorization', 'Bearer ' + readFileSync(TOKEN_FILE, 'utf8').trim())
    done(null, shown)
  })
  return grpc.credentials.combineChannelCredentials(tls, token)
}

// Why the station refused: reason is the code to go by, metadata its arguments.
export function refusal(error) {
  const { Status, ErrorInfo } = protos.google.rpc
  for (const bytes of error.metadata?.get('grpc-status-details-bin') ?? []) {
    for (const detail of Status.deserialize(bytes).details) {
      if (detail.type_url.endsWith('/google.rpc.ErrorInfo')) return ErrorInfo.deserialize(detail.value)
    }
  }
}

// Waits a little where the station is away, and ends the program where it refused.
export async function waitOut(error) {
  const { UNAVAILABLE, CANCELLED } = grpc.status
  if (typeof error.code !== 'number') throw error // a fault of the program
  if (error.code !== UNAVAILABLE && error.code !== CANCELLED) {
    console.error(`${refusal(error)?.reason ?? grpc.status[error.code]}: ${error.details}`)
    process.exit(1)
  }
  console.error('the station is away: waiting')
  await pause(500)
}

// Gives the events of a watch with their kind, over outages; request then has the place behind
// them. Numbers of the history are text, since they may be large.
export async function* watch(call, request) {
  for (;;) {
    try {
      for await (const answer of call(request)) {
        const kind = answer.event
        if (!kind) continue // a later station may have more kinds
        const event = answer[kind]
        if (kind === 'start') request.stretch_id = event.stretch_id
        if (kind === 'lag') console.error(`behind: at ${event.after_seq} of ${event.newest_seq}`)
        request.after_seq = kind === 'start' || kind === 'lag' ? event.after_seq : event.seq
        yield { kind, event }
      }
    } catch (error) {
      await waitOut(error)
    }
  }
}

// The place of the last line that a file keeps.
export function place(name) {
  const last = existsSync(name) ? readFileSync(name, 'utf8').trimEnd().split('\n').at(-1) : ''
  const { after_seq, stretch_id } = last ? JSON.parse(last) : { after_seq: '0', stretch_id: '' }
  return { after_seq, stretch_id }
}

// Adds a line with its place to a file, whole or not at all.
export function keep(name, { after_seq, stretch_id }, what) {
  appendFileSync(name, JSON.stringify({ after_seq, stretch_id, ...what }) + '\n')
}
