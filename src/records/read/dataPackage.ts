import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { z } from 'zod'
import { parseJson } from '../../core/jsonText.js'
import type { ProblemList } from '../problems.js'

const tableField = z.object({ name: z.string(), format: z.string().optional() })

/** What is read of a data package (Data Package and Table Schema standard); the rest is left alone. */
const dataPackageShape = z.object({
  title: z.string().optional(),
  name: z.string().optional(),
  generated: z.boolean().optional(),
  state: z.string().optional(),
  resources: z
    .array(
      z.object({
        name: z.string(),
        path: z.string(),
        schema: z.object({ fields: z.array(tableField).optional() }).optional(),
      }),
    )
    .min(1),
})

/** A data package as far as the toolkit reads it. */
export type DataPackage = z.infer<typeof dataPackageShape>

const dataPackageFile = 'datapackage.json'

/** Reads a folder's data package; undefined where there is none or where it cannot be used (then it stops). */
export async function readDataPackage(
  folder: string,
  problems: ProblemList,
): Promise<DataPackage | undefined> {
  let text: string
  try {
    text = await readFile(join(folder, dataPackageFile), 'utf8')
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined
    stop(problems, 'it cannot be read.')
    return undefined
  }
  try {
    return dataPackageShape.parse(parseJson(text))
  } catch (error) {
    const where = error instanceof z.ZodError ? error.issues[0]?.path.join('.') : undefined
    stop(
      problems,
      where === undefined ? 'it is not JSON.' : `${where === '' ? 'it' : where} is not as the standard says.`,
    )
    return undefined
  }
}

function stop(problems: ProblemList, what: string): void {
  problems.add({
    severity: 'stop',
    code: 'bad-data-package',
    file: dataPackageFile,
    problem: `the data package cannot be used: ${what}`,
    expected: 'a Data Package with resources, each with a name and one path.',
    mend: 'put it right, or remove it: tables named restorations, tightenings and visits are found without it.',
  })
}
