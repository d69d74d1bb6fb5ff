// Writes the rows of a Parquet file as JSON lines: whole numbers as texts, so that none is rounded.
import { readFile } from 'node:fs/promises'
import { parquetReadObjects } from 'hyparquet'

const content = await readFile(process.argv[2])
const file = content.buffer.slice(content.byteOffset, content.byteOffset + content.byteLength)
for (const row of await parquetReadObjects({ file })) {
  console.log(JSON.stringify(row, (_, value) => (typeof value === 'bigint' ? value.toString() : value)))
}
