import { existsSync } from 'node:fs'
import { resolve } from 'node:path'
import type { SimulationStudy } from '../../../src/verification/simulation/study.js'

/** Runs a study with few samples and answers with the cells of its table, head and rule first. */
export async function tableOf(study: SimulationStudy, replicates: number): Promise<readonly string[][]> {
  return cellsOf(await study.run({ replicates, onProgress: () => undefined }))
}

/** Cells of the table in a text, line by line. */
export function cellsOf(text: string): readonly string[][] {
  const lines = text.split('\n').filter((line) => line.startsWith('|'))
  return lines.map((line) =>
    line
      .slice(1, -1)
      .split('|')
      .map((cell) => cell.trim()),
  )
}

/** Leading number of a cell such as "0.12 ± 0.03", and the one behind ±. */
export function numbersOf(cell: string): readonly number[] {
  return cell.split('±').map(Number)
}

/** Whether the page of a study is there. */
export function hasPage(study: SimulationStudy): boolean {
  return existsSync(resolve(import.meta.dirname, '../../..', study.page))
}
