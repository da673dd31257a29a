/** Settings of one run of a simulation study. */
export interface StudyRun {
  /** Number of replicates; the study's own where undefined. */
  readonly replicates: number | undefined
  /** Called with what is being done and the share done, 0 to 1. */
  readonly onProgress: (what: string, share: number) => void
}

/** A study of the toolkit itself: data with known truth, the toolkit's estimator, and how often it is right. */
export interface SimulationStudy {
  readonly name: string
  /** The question in one line. */
  readonly question: string
  /** Page with the plan, written before the run, and the result. */
  readonly page: string
  /** Runs the study and answers with its table, as Markdown. */
  run(settings: StudyRun): Promise<string>
}
