import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type ClinicFunnel, clinicFunnel } from './answer.js'
import { funnelChart } from './chart.js'
import { clinicsTable, funnelBlocks } from './section.js'

/** Does a clinic stand out? */
export const clinicFunnelQuestion = question<'clinicFunnel', ClinicFunnel>({
  kind: 'clinicFunnel',
  title: message('clinics.title'),
  answer: (cohort, settings) => clinicFunnel(cohort, settings),
  section: funnelBlocks,
  chart: funnelChart,
  table: clinicsTable,
  methods: (funnel) => [{ quantity: message('clinics.method'), used: [funnel] }],
})
