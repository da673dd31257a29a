/** The option by which what stops a run is set aside by name; one wording on every command that reads records. */
export const setAsideOption = [
  '--set-aside <codes...>',
  'problems to set aside by name: their codes as holdfast check lists them; the report repeats them',
] as const
