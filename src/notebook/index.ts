export { dictionaryFields } from './dictionary.js'
export { show } from './display.js'
export { type FrameRow, type FrameSource, type FrameValue, fromFrame, toFrame } from './frames.js'
export type { FrameLike } from './frameTable.js'
export { openRecords, writeReport, writeStudyGroupReport } from './practice.js'
export { saveChart } from './saveChart.js'
export {
  poolSummaries,
  type ShareOptions,
  type StudyGroup,
  type StudySite,
  shareSummaries,
} from './studyGroup.js'
