import { describe, expect, it } from 'vitest'
import { runInterview } from '../../../src/cli/interviewRun.js'
import { openDoor } from '../../../src/records/identities/door.js'
import type { Question } from '../../../src/records/interview/questions.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { today, writtenFile } from '../practice.js'

const head =
  'Nr.;Name;geb.;m/w;Zahn 1;eingesetzt 1;Nm 1;nachgezogen? 1;letzte Kontrolle 1;locker 1;Zahn 2;eingesetzt 2;Nm 2;nachgezogen? 2;letzte Kontrolle 2;locker 2;Bemerkungen'
const sheet = [
  `Praxis am Deich, Implantatkronen${';'.repeat(16)}`,
  ';'.repeat(16),
  head,
  '1;Ammerland, Heinz;12.03.1951;m;36;14.2.19;0,35;2x;03.05.23;;46;14.2.19;0,35;1x;03.05.23;11.11.20;Knirscher',
  '2;Bergengruen, Ute;;w;24;3.6.19;0,35;1x;12.06.23;nein;;;;;;;',
  '3;Czerny, Karla;1.9.1962;w;15;20.8.18;0,30;2x;05.03.23;;25;20.8.18;0,30;nein;05.03.23;;',
  '4;Dittmar, Olaf;17.1.1949;m;46;17.10.18;0,35;nein;9.1.22;4.7.19;;;;;;;Schraube getauscht',
  '5;Eberlein, Rosa;;w;16;5.11.19;0,35;2x;14.12.23;;26;5.11.19;0,35;2x;14.12.23;;',
  '6;Fuhrmann, Piet;3.3.1958;m;36;28.1.20;0,35;1x;16.02.24;;;;;;;;raucht',
  `Summe;6${';'.repeat(15)}`,
  'gedruckt am 30.12.2024',
]

describe('patients as rows, with names, two crowns side by side and lines above and below', () => {
  it('are read by what is proposed, both crowns, without a name', async () => {
    const path = writtenFile('patienten.csv', `${sheet.join('\r\n')}\r\n`)
    const door = await openDoor(path)
    const asked: Question[] = []
    const said: string[] = []
    await runInterview(path, {
      today,
      redo: false,
      door,
      say: (text) => said.push(text),
      ask: async (question) => {
        asked.push(question)
        const key = question.where.at(-1)
        if (key === 'type') return 'single_crown'
        return key === 'nein' && question.where.join().includes('nachgezogen')
          ? 'single'
          : (question.proposed ?? null)
      },
    })
    expect(said[0]).toContain('9 crowns in 6 patients, 3 women; delivered 2018 to 2020; 2 found loose')
    const years = asked.filter(({ where }) => where.at(-1) === 'twoDigitYearsFrom')
    expect(years).toHaveLength(1)
    expect(asked.length).toBeLessThanOrEqual(17)
    expect(JSON.stringify(asked)).not.toMatch(/Ammerland|Bergengruen|Heinz/)
    const { records, problems } = await checkRecords(path, { today, door })
    const { labels, codes } = records!.restorations.category('tooth_position')
    expect([...codes].map((code) => labels[code])).toEqual([
      '36',
      '46',
      '24',
      '15',
      '25',
      '46',
      '16',
      '26',
      '36',
    ])
    expect(problems.map(({ code }) => code)).not.toContain('possible-identifier-value')
  })
})
