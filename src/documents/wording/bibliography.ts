/**
 * Works that a manuscript cites, in the style of most medical journals. Authors, title, journal or publisher, year and pages
 * of each were found in public records of the work (docs/references.md says of which kind); what was not found is not cited.
 */
export const bibliography = Object.freeze({
  aalenJohansen:
    'Aalen OO, Johansen S. An empirical transition matrix for non-homogeneous Markov chains based on censored observations. Scand J Stat 1978;5:141–150.',
  andersenTimeLost:
    'Andersen PK. Decomposition of number of life years lost according to causes of death. Stat Med 2013;32:5278–5285.',
  austin:
    'Austin PC. Balance diagnostics for comparing the distribution of baseline covariates between treatment groups in propensity-score matched samples. Stat Med 2009;28:3083–3107.',
  bangRobins:
    'Bang H, Robins JM. Doubly robust estimation in missing data and causal inference models. Biometrics 2005;61:962–973.',
  choudhury:
    'Choudhury JB. Non-parametric confidence interval estimation for competing risks analysis: application to contraceptive data. Stat Med 2002;21:1129–1144.',
  clayton:
    'Clayton DG. A model for association in bivariate life tables and its application in epidemiological studies of familial tendency in chronic disease incidence. Biometrika 1978;65:141–151.',
  clopperPearson:
    'Clopper CJ, Pearson ES. The use of confidence or fiducial limits illustrated in the case of the binomial. Biometrika 1934;26:404–413.',
  cox: 'Cox DR. Regression models and life-tables. J R Stat Soc B 1972;34:187–220.',
  cutlerEderer:
    'Cutler SJ, Ederer F. Maximum utilization of the life table method in analyzing survival. J Chronic Dis 1958;8:699–712.',
  efron:
    "Efron B. The efficiency of Cox's likelihood function for censored data. J Am Stat Assoc 1977;72:557–565.",
  fineGray:
    'Fine JP, Gray RJ. A proportional hazards model for the subdistribution of a competing risk. J Am Stat Assoc 1999;94:496–509.',
  firth: 'Firth D. Bias reduction of maximum likelihood estimates. Biometrika 1993;80:27–38.',
  fleiss:
    'Fleiss JL, Levin B, Paik MC. Statistical Methods for Rates and Proportions. 3rd ed. Hoboken: Wiley; 2003.',
  garwood: 'Garwood F. Fiducial limits for the Poisson distribution. Biometrika 1936;28:437–442.',
  grambschTherneau:
    'Grambsch PM, Therneau TM. Proportional hazards tests and diagnostics based on weighted residuals. Biometrika 1994;81:515–526.',
  greenland:
    'Greenland S. Basic methods for sensitivity analysis of biases. Int J Epidemiol 1996;25:1107–1116.',
  heinzeSchemper:
    'Heinze G, Schemper M. A solution to the problem of monotone likelihood in Cox regression. Biometrics 2001;57:114–119.',
  hollisCampbell:
    'Hollis S, Campbell F. What is meant by intention to treat analysis? Survey of published randomised controlled trials. BMJ 1999;319:670–674.',
  kaplanMeier:
    'Kaplan EL, Meier P. Nonparametric estimation from incomplete observations. J Am Stat Assoc 1958;53:457–481.',
  kish: 'Kish L. Survey Sampling. New York: Wiley; 1965.',
  leeWeiAmato:
    'Lee EW, Wei LJ, Amato DA. Cox-type regression analysis for large numbers of small groups of correlated failure time observations. In: Survival Analysis: State of the Art. Kluwer; 1992:237–247.',
  suissa: 'Suissa S. Immortal time bias in pharmaco-epidemiology. Am J Epidemiol 2008;167:492–499.',
  liOverlap:
    'Li F, Morgan KL, Zaslavsky AM. Balancing covariates via propensity score weighting. J Am Stat Assoc 2018;113:390–400.',
  liangZeger:
    'Liang KY, Zeger SL. Longitudinal data analysis using generalized linear models. Biometrika 1986;73:13–22.',
  linWei:
    'Lin DY, Wei LJ. The robust inference for the Cox proportional hazards model. J Am Stat Assoc 1989;84:1074–1078.',
  phipsonSmyth:
    'Phipson B, Smyth GK. Permutation P-values should never be zero: calculating exact P-values when permutations are randomly drawn. Stat Appl Genet Mol Biol 2010;9:Article 39.',
  raoScottBinary:
    'Rao JNK, Scott AJ. A simple method for the analysis of clustered binary data. Biometrics 1992;48:577–585.',
  raoScottPoisson:
    'Rao JNK, Scott AJ. A simple method for analysing overdispersion in clustered Poisson data. Stat Med 1999;18:1373–1385.',
  robinsWeights:
    'Robins JM, Hernán MA, Brumback B. Marginal structural models and causal inference in epidemiology. Epidemiology 2000;11:550–560.',
  rosenbaumRubin:
    'Rosenbaum PR, Rubin DB. The central role of the propensity score in observational studies for causal effects. Biometrika 1983;70:41–55.',
  roystonParmar:
    'Royston P, Parmar MKB. Restricted mean survival time: an alternative to the hazard ratio for the design and analysis of randomized trials with a time-to-event outcome. BMC Med Res Methodol 2013;13:152.',
  schemperSmith:
    'Schemper M, Smith TL. A note on quantifying follow-up in studies of failure time. Control Clin Trials 1996;17:343–346.',
  schoenfeld:
    'Schoenfeld DA. Sample-size formula for the proportional-hazards regression model. Biometrics 1983;39:499–503.',
  strobe:
    'von Elm E, Altman DG, Egger M, Pocock SJ, Gøtzsche PC, Vandenbroucke JP. The Strengthening the Reporting of Observational Studies in Epidemiology (STROBE) statement: guidelines for reporting observational studies. Lancet 2007;370:1453–1457.',
  turnbull:
    'Turnbull BW. The empirical distribution function with arbitrarily grouped, censored and truncated data. J R Stat Soc B 1976;38:290–295.',
  vanderWeeleDing:
    'VanderWeele TJ, Ding P. Sensitivity analysis in observational research: introducing the E-value. Ann Intern Med 2017;167:268–274.',
  wilson:
    'Wilson EB. Probable inference, the law of succession, and statistical inference. J Am Stat Assoc 1927;22:209–212.',
  yingWei:
    'Ying Z, Wei LJ. The Kaplan–Meier estimate for dependent failure time observations. J Multivar Anal 1994;50:17–29.',
  zouDonner:
    'Zou GY, Donner A. Construction of confidence limits about effect measures: a general approach. Stat Med 2008;27:1693–1702.',
})

/** Key of a work. */
export type WorkKey = keyof typeof bibliography

/** Works behind each method, by the key of its page in docs/methods; a test asks for every key that results may hold. */
export const worksOfMethod: Readonly<Record<string, readonly WorkKey[]>> = Object.freeze({
  'aalen-johansen': ['aalenJohansen'],
  balance: ['austin'],
  'censoring-weights': ['robinsWeights'],
  'clustered-comparison': ['liangZeger', 'zouDonner'],
  'clustered-proportion': ['wilson', 'raoScottBinary'],
  'clustered-rate': ['raoScottPoisson', 'garwood'],
  cox: ['cox', 'efron'],
  'design-effect-planning': ['kish'],
  'doubly-robust': ['bangRobins'],
  'e-value': ['vanderWeeleDing'],
  'fine-gray': ['fineGray'],
  'firth-cox': ['firth', 'heinzeSchemper'],
  'follow-up': ['schemperSmith'],
  frailty: ['clayton'],
  'immortal-time': ['suissa'],
  'life-table': ['cutlerEderer'],
  'lost-to-follow-up': ['hollisCampbell'],
  misclassification: ['greenland'],
  'overlap-comparison': ['liOverlap', 'aalenJohansen'],
  'parametric-interval-censored': ['turnbull'],
  'patient-robust-cox': ['cox', 'efron', 'linWei', 'leeWeiAmato'],
  'patient-robust-curve': ['kaplanMeier', 'yingWei'],
  'permutation-test': ['phipsonSmyth'],
  'planning-events': ['schoenfeld'],
  'planning-proportions': ['fleiss'],
  'product-limit': ['kaplanMeier'],
  'propensity-weights': ['rosenbaumRubin', 'robinsWeights', 'liOverlap'],
  'proportional-hazards': ['grambschTherneau'],
  'restricted-mean': ['roystonParmar', 'andersenTimeLost'],
  'risk-at-times': ['aalenJohansen', 'choudhury', 'zouDonner'],
  turnbull: ['turnbull'],
  'zero-events': ['clopperPearson'],
})
