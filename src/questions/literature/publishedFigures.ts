import type { EndpointName } from '../../cohort/definition.js'

/** What a published figure is of, worded in the messages under `literature.about.…`. */
export type PublishedAbout =
  | 'external'
  | 'internal'
  | 'crowns-26'
  | 'crowns-46'
  | 'implants-1928'
  | 'posterior-391'
  | 'screw-retained-222'
  | 'split-mouth-screw-retained'
  | 'split-mouth-cemented'
  | 'prostheses-177'
  | 'screw-or-abutment-26'
  | 'veneer-26'
  | 'veneer-46'
  | 'retention-46'
  | 'lost-26'
  | 'lost-46'
  | 'cemented-73'
  | 'screw-retained-73'
  | 'metal-ceramic-35'
  | 'implants-18'
  | 'implants-imputed-18'

/** How long a published figure was followed, worded under `literature.follow-up.…`. */
export type PublishedFollowUp =
  | 'mean-31-months'
  | '2-to-5-years'
  | 'loosening-10-months'
  | 'about-5-years'
  | '5-to-10-years'
  | 'not-stated'

/** A figure of the literature, with where it stands. Shares are from 0 to 1. */
export interface PublishedFigure {
  readonly endpoint: EndpointName
  /** Authors and year. */
  readonly paper: string
  readonly journal: string
  /** Code of design, number, and what the figure is of where that is not the endpoint exactly. */
  readonly about: PublishedAbout
  /** Share with the event; where a paper prints the share without it, one minus that. */
  readonly share: number
  /** 95% limits as printed; absent where the source prints none. */
  readonly lower?: number
  readonly upper?: number
  /** Years after delivery; absent where the figure is a share over unequal follow-up. */
  readonly horizonYears?: number
  /** Code of the length of follow-up, where there is no horizon. */
  readonly followUp?: PublishedFollowUp
  /** A limit was written down from memory and not read again. */
  readonly fromMemory?: boolean
}

const theoharidou = {
  paper: 'Theoharidou et al. 2008',
  journal: 'Int J Oral Maxillofac Implants',
}
const jung2008 = {
  paper: 'Jung et al. 2008',
  journal: 'Clin Oral Implants Res 19:119',
}
const jung2012 = {
  paper: 'Jung et al. 2012',
  journal: 'Clin Oral Implants Res 23 suppl 6:2',
}
const wittneben = {
  paper: 'Wittneben et al. 2014',
  journal: 'Int J Oral Maxillofac Implants 29 suppl:84',
}
const howe = {
  paper: 'Howe et al. 2019',
  journal: 'J Dent',
}

/**
 * Published figures on restorations on single implants, read in abstracts or open text unless marked as from memory.
 * They differ in definition, era, parts and ways of looking: to be set beside an audit, and never tested against it.
 */
export const publishedFigures: readonly PublishedFigure[] = Object.freeze([
  {
    endpoint: 'screw_loosening',
    ...theoharidou,
    about: 'external',
    share: 0.027,
    lower: 0.017,
    upper: 0.044,
    horizonYears: 3,
  },
  {
    endpoint: 'screw_loosening',
    ...theoharidou,
    about: 'internal',
    share: 0.024,
    lower: 0.017,
    upper: 0.035,
    horizonYears: 3,
  },
  {
    endpoint: 'screw_loosening',
    ...jung2008,
    about: 'crowns-26',
    share: 0.127,
    horizonYears: 5,
  },
  {
    endpoint: 'screw_loosening',
    ...jung2012,
    about: 'crowns-46',
    share: 0.088,
    lower: 0.051,
    upper: 0.15,
    horizonYears: 5,
    fromMemory: true,
  },
  {
    endpoint: 'screw_loosening',
    paper: 'Lee et al. 2020',
    journal: 'J Korean Assoc Oral Maxillofac Surg 46:133',
    about: 'implants-1928',
    share: 0.072,
    followUp: 'mean-31-months',
  },
  {
    endpoint: 'screw_loosening',
    paper: 'Hong et al. 2018',
    journal: 'J Korean Acad Prosthodont 56:212',
    about: 'posterior-391',
    share: 0.074,
    followUp: '2-to-5-years',
  },
  {
    endpoint: 'screw_loosening',
    paper: 'Palma-Carrió et al. 2024',
    journal: 'Int J Dent',
    about: 'screw-retained-222',
    share: 0.162,
    followUp: 'loosening-10-months',
  },
  {
    endpoint: 'screw_loosening',
    paper: 'Nissan et al. 2011',
    journal: 'Int J Oral Maxillofac Implants 26:1102',
    about: 'split-mouth-screw-retained',
    share: 0.32,
    followUp: 'about-5-years',
  },
  {
    endpoint: 'screw_loosening',
    paper: 'Nissan et al. 2011',
    journal: 'Int J Oral Maxillofac Implants 26:1102',
    about: 'split-mouth-cemented',
    share: 0.09,
    followUp: 'about-5-years',
  },
  {
    endpoint: 'screw_loosening',
    paper: 'Vanlıoğlu et al. 2013',
    journal: 'Int J Oral Maxillofac Implants 28:1300',
    about: 'prostheses-177',
    share: 0,
    lower: 0,
    upper: 0.0206,
    followUp: '5-to-10-years',
  },
  {
    endpoint: 'screw_fracture',
    ...jung2008,
    about: 'screw-or-abutment-26',
    share: 0.0035,
    horizonYears: 5,
  },
  {
    endpoint: 'screw_fracture',
    paper: 'Palma-Carrió et al. 2024',
    journal: 'Int J Dent',
    about: 'screw-retained-222',
    share: 0.018,
    followUp: 'not-stated',
  },
  {
    endpoint: 'veneer_chipping',
    ...jung2008,
    about: 'veneer-26',
    share: 0.045,
    horizonYears: 5,
  },
  {
    endpoint: 'veneer_chipping',
    ...jung2012,
    about: 'veneer-46',
    share: 0.035,
    horizonYears: 5,
  },
  {
    endpoint: 'loss_of_retention',
    ...jung2012,
    about: 'retention-46',
    share: 0.041,
    horizonYears: 5,
  },
  {
    endpoint: 'removal',
    ...jung2008,
    about: 'lost-26',
    share: 0.055,
    lower: 0.041,
    upper: 0.075,
    horizonYears: 5,
  },
  {
    endpoint: 'removal',
    ...jung2012,
    about: 'lost-46',
    share: 0.037,
    horizonYears: 5,
  },
  {
    endpoint: 'removal',
    ...jung2012,
    about: 'lost-46',
    share: 0.106,
    horizonYears: 10,
  },
  {
    endpoint: 'removal',
    ...wittneben,
    about: 'cemented-73',
    share: 0.0397,
    lower: 0.0257,
    upper: 0.0615,
    horizonYears: 5,
  },
  {
    endpoint: 'removal',
    ...wittneben,
    about: 'screw-retained-73',
    share: 0.0445,
    lower: 0.0281,
    upper: 0.0704,
    horizonYears: 5,
  },
  {
    endpoint: 'removal',
    paper: 'Pjetursson et al. 2018',
    journal: 'Clin Oral Implants Res 29 S16:199',
    about: 'metal-ceramic-35',
    share: 0.017,
    lower: 0.009,
    upper: 0.032,
    horizonYears: 5,
  },
  {
    endpoint: 'implant_loss',
    ...howe,
    about: 'implants-18',
    share: 0.036,
    lower: 0.025,
    upper: 0.048,
    horizonYears: 10,
  },
  {
    endpoint: 'implant_loss',
    ...howe,
    about: 'implants-imputed-18',
    share: 0.068,
    lower: 0.042,
    upper: 0.099,
    horizonYears: 10,
  },
] satisfies PublishedFigure[])
