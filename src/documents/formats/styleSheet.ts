import { groupMarks, neutralInk } from '../../charts/theme.js'
import { css } from '../../core/markup.js'

/** Sizes of paper that a page can be made for; without one it takes that of the printer. */
export type Paper = 'A4' | 'letter'

/**
 * The one style sheet of a report, with the line that marks generated data on every printed page. It holds nothing out of the data, so that its hash, which the content security
 * policy allows, is that of our own text. Colours come from the theme of the charts; in the dark, figures change
 * their inks by the same table.
 */
export function styleSheet(generated?: string, paper?: Paper): string {
  return [
    colourRules(),
    pageRules,
    answerRules,
    tableRules,
    figureRules,
    readingRules,
    wideRules,
    smallRules,
    printRules(generated, paper),
  ].join('\n')
}

/** Colours of a page that holds parts of notebooks: what they bring stands below, so that the name of the page's own element has to outweigh it. */
export function notebookColours(): string {
  return colourRules(':root,main .holdfast-part', ';color-scheme:dark')
}

const inkPairs = [...Object.values(neutralInk), ...Object.values(groupMarks).map(({ ink }) => ink)]

function colourRules(inTheDark = ':root', more = ''): string {
  return [
    `:root{color-scheme:light dark;${inkVariables('light')}}`,
    css`@media screen and (prefers-color-scheme:dark){${inTheDark}{${inkVariables('dark')}${more}}${darkFigures()}}`,
  ].join('\n')
}

function inkVariables(mode: 'light' | 'dark'): string {
  return Object.entries(neutralInk)
    .map(([name, ink]) => `--${name}:${ink[mode]}`)
    .concat(`--accent:${groupMarks.single!.ink[mode]}`)
    .join(';')
}

function darkFigures(): string {
  return inkPairs
    .map(
      ({ light, dark }) =>
        `.picture [fill="${light}"]{fill:${dark}}.picture [stroke="${light}"]{stroke:${dark}}`,
    )
    .join('')
}

const sans = css`ui-sans-serif,system-ui,-apple-system,"Segoe UI",Roboto,"Helvetica Neue","Noto Sans","Liberation Sans",Arial,sans-serif`
const serif = css`"Iowan Old Style","Charter","Bitstream Charter","Source Serif 4",Cambria,Georgia,"Noto Serif","Liberation Serif",serif`

const pageRules = css`
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%;scroll-padding-top:3.5rem}
body{margin:0;background:var(--surface);color:var(--text);font:400 1rem/1.55 ${sans};overflow-wrap:anywhere}
.sheet{max-width:46rem;margin:0 auto;padding:0 1rem 4rem}
h1,h2,h3,.lead,.value{font-family:${serif}}
h1{font-size:clamp(1.6rem,1.2rem + 1.6vw,2.3rem);line-height:1.15;font-weight:600;margin:.2rem 0 .5rem;letter-spacing:-.01em;text-wrap:balance}
h2{font-size:1.45rem;line-height:1.25;font-weight:600;margin:0 0 .9rem;letter-spacing:-.005em}
h3{font-size:1.1rem;margin:1.6rem 0 .5rem}
p{margin:0 0 1rem;max-width:42rem;text-wrap:pretty}
a{color:var(--accent);text-underline-offset:.15em}
a:focus-visible,summary:focus-visible{outline:3px solid var(--accent);outline-offset:2px;border-radius:2px}
ul{margin:0 0 1rem;padding-left:1.2rem}
li{margin:0 0 .45rem;max-width:41rem}
data{font-variant-numeric:tabular-nums lining-nums}
.skip{position:absolute;left:-999rem}
.skip:focus{position:fixed;left:1rem;top:.5rem;z-index:9;background:var(--surface);padding:.4rem .8rem}
.generated{position:sticky;top:0;z-index:5;margin:0;max-width:none;padding:.45rem 1rem;text-align:center;font-weight:600;font-size:.875rem;background:var(--warning);color:var(--surface)}
header.head{padding:2.2rem 0 1.2rem}
.kicker{margin:0;font-size:.8125rem;font-weight:600;letter-spacing:.06em;text-transform:uppercase;color:var(--accent)}
.meta{margin:0;color:var(--quiet)}
section{padding-top:2.4rem;margin-top:2.4rem;border-top:1px solid var(--grid)}
section#answer{padding-top:1.6rem;margin-top:0;border-top:3px solid var(--text)}
.note{font-size:.8125rem;line-height:1.45;color:var(--quiet);margin:.35rem 0 0;max-width:none}
.terms{margin:0}
.terms div{padding:.55rem 0;border-top:1px solid var(--grid)}
.terms dt{font-weight:600}
.terms dd{margin:.1rem 0 0;max-width:42rem}
.side nav ol{list-style:none;margin:0;padding:0;font-size:.9rem}
.side nav li{margin:0}
.side nav a{display:block;padding:.3rem 0;text-decoration:none}
.side nav a:hover{text-decoration:underline}
.side h2{font-family:inherit;font-size:.8125rem;letter-spacing:.06em;text-transform:uppercase;color:var(--quiet);margin:0 0 .5rem}
.care{background:var(--panel);border-left:3px solid var(--warning);padding:1rem 1.1rem;margin:1.6rem 0;border-radius:0 3px 3px 0}
.care ul{font-size:.9rem;line-height:1.45;padding-left:1rem;margin:0}
.care li:last-child{margin:0}
.care h2{color:var(--warning)}
.documents ul{list-style:none;margin:0 0 1rem;padding:0;display:flex;flex-wrap:wrap;gap:.2rem 1.4rem;font-size:.9rem}
.documents li{margin:0}
.start .documents ul{display:grid;gap:.7rem;font-size:1rem;margin-top:1.2rem}
.start .documents a{font-weight:600}
.start .documents .about{display:block;color:var(--quiet);font-size:.9rem}
footer{margin-top:2.4rem;padding-top:1rem;border-top:1px solid var(--grid);font-size:.8125rem;color:var(--quiet)}`

const answerRules = css`
.lead{font-size:clamp(1.15rem,1.02rem + .55vw,1.4rem);line-height:1.4;margin:0 0 1rem;max-width:none;text-wrap:pretty}
.lead strong{font-weight:600}
.key-figures{list-style:none;padding:0;margin:1.6rem 0;display:grid;grid-template-columns:repeat(auto-fit,minmax(12rem,1fr));gap:1rem 1.6rem}
.key-figures li{border-top:1px solid var(--frame);padding-top:.6rem;margin:0;display:flex;flex-direction:column}
.value{font-size:2.15rem;line-height:1.1;font-weight:600;letter-spacing:-.01em;color:var(--accent)}
.label{font-size:.9rem;line-height:1.35;margin-top:.3rem}
.interval{font-size:.8125rem;color:var(--quiet);margin-top:.25rem}`

const tableRules = css`
.table{margin:1.6rem 0}
table{width:100%;border-collapse:collapse;font-size:.8438rem;line-height:1.4;border-bottom:1px solid var(--frame)}
caption,figcaption{text-align:left;font-size:.9rem;padding:0 0 .5rem;color:var(--text)}
.number{font-weight:600}
th,td{padding:.42rem .5rem;text-align:left;vertical-align:top;font-variant-numeric:tabular-nums lining-nums}
th:first-child,td:first-child{padding-left:0}
th:last-child,td:last-child{padding-right:0}
thead th{font-weight:600;vertical-align:bottom;border-top:1.5px solid var(--text);border-bottom:1px solid var(--frame);line-height:1.25;hyphens:auto}
table{overflow-wrap:break-word}
bdi.long{overflow-wrap:anywhere}
tbody th{font-weight:400}
tbody th:first-child{min-width:6.5rem}
tbody .under{display:block;font-size:.92em;color:var(--quiet)}
.end .first,.end .under{white-space:nowrap}
tbody tr+tr>*{border-top:1px solid var(--grid)}
.end{text-align:right}`

const figureRules = css`
figure{margin:1.8rem 0}
figcaption{padding:.6rem 0 0}
.picture svg{display:block;max-width:100%;height:auto}
.picture.column{display:none}
@media screen{#answer figure{margin:1rem 0}#answer .picture.page svg{max-height:21rem;width:auto}}`

/** What the script of the page shows of a chart. */
const readingRules = css`
.picture[data-readings]{position:relative;touch-action:pan-y pinch-zoom;cursor:crosshair}
.picture:has(.reader:focus-visible){outline:3px solid var(--accent);outline-offset:3px;border-radius:2px}
.reader{position:absolute;left:0;bottom:0;width:100%;height:1.5rem;margin:0;opacity:0;pointer-events:none}
.reading,.reading-mark{position:absolute;pointer-events:none}
.reading[hidden],.reading-mark[hidden]{display:none}
.reading-mark{border:2px solid var(--text);border-radius:8px}
.reading{z-index:2;display:grid;width:max-content;max-width:min(100%,20rem);padding:.4rem .65rem;border-radius:3px;background:var(--text);color:var(--surface);font-size:.8125rem;line-height:1.4;font-variant-numeric:tabular-nums lining-nums}`

/** Room beside the text: cautions next to the answer, and the contents. */
const wideRules = css`
@media screen and (min-width:72rem){
.sheet{max-width:68rem}
main{display:grid;grid-template-columns:minmax(0,46rem) minmax(0,17rem);column-gap:4rem;align-items:start}
main>*{grid-column:1}
.side{grid-column:2;grid-row:1/span 40;position:sticky;top:3rem;max-height:calc(100vh - 4rem);overflow-y:auto}
.care{margin-top:0}
}`

/**
 * Style of a part of a report inside another page, such as the output of a notebook cell: the same rules, nested below
 * one class so that they touch nothing else, always on light paper.
 */
export function fragmentStyle(): string {
  const page = css`${inkVariables('light')};color-scheme:light;background:var(--surface);color:var(--text);font:400 1rem/1.55 ${sans};max-width:46rem;padding:.2rem 1rem 1rem`
  const text = css`h2{font:600 1.35rem/1.25 ${serif};margin:.4rem 0 .8rem}.lead,.value{font-family:${serif}}p{margin:0 0 1rem;max-width:42rem}.note{font-size:.8125rem;line-height:1.45;color:var(--quiet);margin:.35rem 0 0}.generated{color:var(--warning);font-weight:600;font-size:.8125rem;margin:0}.terms dt{font-weight:600}
@media (max-width:40rem){
table.cards,.cards tbody,.cards tr,.cards th,.cards td,.cards caption{display:block}
.cards thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.cards tbody>tr{padding:.5rem 0;border-top:1px solid var(--frame)}
.cards tbody>tr>*{border:0;padding:.1rem 0}
.cards tbody>tr>th{font-weight:600}
.cards td{text-align:left;overflow-wrap:anywhere}
.cards td::before{content:attr(data-head) "\\00a0\\00a0";color:var(--quiet)}
.cards td>br{display:none}
.cards td>.note{margin:0 0 0 .35rem}
}`
  return css`.holdfast-part{${page};${text}${answerRules}${tableRules}${figureRules}table{table-layout:auto}${smallRules}}`
}

/** On a small screen each row of a wide table becomes a card; figures are the narrow ones. */
const smallRules = css`
@media screen and (max-width:40rem){
.picture.page{display:none}
.picture.column{display:block}
table.wide,table.wide tbody,table.wide tr,table.wide th,table.wide td,table.wide caption{display:block}
table.wide thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
table.wide tbody tr{padding:.6rem 0;border-top:1px solid var(--frame)}
table.wide tbody tr>*{border:0;padding:.12rem 0}
table.wide tbody th{font-weight:600}
table.wide td{display:grid;grid-template-columns:minmax(0,1fr) 12.9rem;column-gap:.5rem}
table.wide td::before{content:attr(data-head);color:var(--quiet);text-align:left}
table.wide td>*{min-width:0;grid-column:2}
table.wide td::before{grid-column:1;grid-row:1/span 2}
table.wide .end{grid-template-columns:minmax(0,1fr) 4.2rem 8.2rem;text-align:left}
table.wide .end .under{grid-column:3;align-self:baseline}
table.wide .end .first:last-child{grid-column:2/-1}
}`

/** One page of A4 or Letter, whatever the answer has to say; and a report that leaves no sheet half empty. */
const shortPrint = css`
.brief .generated,.summary .generated,.summary footer,.compact .generated,.compact footer,.compact .side nav{display:none}
.compact{font-size:8.8pt;line-height:1.32}
.compact header.head{padding:0 0 .4rem}
.compact h1{font-size:1.5rem;margin:.1rem 0 .2rem}
.compact section>h2{margin:.5rem 0 .25rem;padding-top:.4rem;font-size:1.15rem}
.compact h3{margin:.4rem 0 .15rem}
.compact p,.compact li{margin-bottom:.2rem;max-width:none}
.compact .lead{font-size:1.08rem;margin-bottom:.3rem}
.compact .care{padding:.4rem .8rem;margin:.5rem 0}
.compact figure,.compact .table{margin:.4rem 0}
.compact .picture svg{max-height:7.4cm;width:auto}
.compact table{font-size:7.4pt}
.compact caption{padding:.1rem 0}
.compact th,.compact td{padding-top:.12rem;padding-bottom:.12rem}
.compact .first+.under{margin-left:.3em}
.compact td .under,.compact th .under{display:inline}
.compact:has(#figure-risk-changes){font-size:9.2pt;line-height:1.36}
.compact:has(#figure-risk-changes) table{font-size:8pt}
.compact:has(#figure-risk-changes) :is(th,td){padding-top:.13rem;padding-bottom:.13rem}
.brief{font-size:9.3pt;line-height:1.4}
.brief header.head{padding:0 0 .5rem}
.brief h1{font-size:1.75rem}
.brief section#answer>h2{margin-top:0;padding-top:.5rem}
.brief section>h2{margin:.7rem 0 .4rem;padding-top:.6rem;font-size:1.3rem}
.brief p,.brief .key-figures{margin-bottom:.4rem}
.brief li{margin-bottom:.15rem}
.brief .lead{font-size:1.15rem;line-height:1.32;margin-bottom:.4rem}
.brief .key-figures{margin-top:.4rem}
.brief .key-figures li{padding-top:.25rem}
.brief .value{font-size:1.35rem}
.brief .label,.brief .key-figures .interval{margin-top:.1rem}
.brief figure,.brief .table{margin:.7rem 0}
.brief figure{clear:left;width:85mm;margin:.3rem 5mm .5rem 0}
.brief figcaption{padding-top:.3rem}
.brief .key-figures{clear:both}
.brief .picture.page{display:none}
.brief .picture.column{display:block}
.brief figure+.table table,.brief figure+p+.table table{width:auto;font-size:7.2pt}
.brief figure+.table :is(th,td),.brief figure+p+.table :is(th,td){padding-left:.15rem;padding-right:.15rem}
.brief figure+.table tr>:last-child,.brief figure+p+.table tr>:last-child{padding-left:.75rem}
.brief figure+.table .under,.brief figure+p+.table .under{white-space:normal}
.brief figure+.table tr>:first-child,.brief figure+p+.table tr>:first-child{min-width:0;padding-left:0}
.brief #figure-attrition,.brief #figure-comparison-forest{width:100%;margin-right:0}
.brief #figure-attrition .picture.page,.brief #figure-comparison-forest .picture.page{display:block}
.brief #figure-attrition .picture.column,.brief #figure-comparison-forest .picture.column{display:none}
.brief #figure-attrition+.table table{width:100%;font-size:8.2pt}
.brief #figure-attrition .picture svg{max-height:8cm}
.brief #figure-comparison-forest .picture svg{max-height:9cm}
.brief .care{padding:.35rem .8rem;margin:.4rem 0 0}
.brief .care h2{font-size:1.1rem;margin-bottom:.2rem}
.brief .care ul{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));column-gap:2rem;font-size:.86em;line-height:1.3}
.brief .care li{margin-bottom:.1rem}
.brief .terms{columns:2;column-gap:2rem;font-size:.9em}
.brief .terms div{padding:.25rem 0}
.brief footer{display:none}
.summary{font-size:8.4pt;line-height:1.27}
.summary header.head{padding:0 0 .4rem}
.summary h1{font-size:1.3rem;margin:.1rem 0 .15rem;max-width:none}
.summary section>h2{font-size:1.05rem;margin:.25rem 0 .1rem;padding-top:.25rem}
.summary section#answer>h2{margin-top:0;padding-top:.5rem}
.leaflet figure{float:none;width:auto}
.summary .lead{font-size:1.08rem;line-height:1.26;margin-bottom:.3rem}
.summary p,.summary li{margin-bottom:.15rem;max-width:none}
.summary ul{margin-bottom:0}
.summary figure,.summary .table{margin:.4rem 0}
.summary figcaption,.summary caption{padding-top:.1rem;padding-bottom:.15rem;font-size:.9rem}
.summary figure{width:71mm;margin:.3rem 4.5mm .2rem 0}
.summary figure+.table{display:flow-root;min-width:60mm;margin:.3rem 0}
.summary .picture svg{max-height:7.1cm;width:auto}
.summary .picture.page{display:none}
.summary .picture.column{display:block}
.summary table{font-size:7.2pt}
.summary th,.summary td{padding-left:.15rem;padding-right:.15rem}
.summary:not(:lang(en)){font-size:8pt;line-height:1.24}
.brief:lang(de){font-size:8.8pt;line-height:1.36}
.summary .note{font-size:.78rem;margin:.2rem 0 0}
.summary #cautions p{font-size:.9em;line-height:1.3}`

function printRules(generated: string | undefined, paper: Paper | undefined): string {
  const size = paper === undefined ? '' : `size:${paper};`
  const mark =
    generated !== undefined
      ? `@top-center{content:"${generated}";font:600 8pt ${sans};color:${neutralInk.warning.light}}`
      : ''
  return css`
@page{${size}margin:18mm 16mm 16mm;${mark}@bottom-right{content:counter(page) " / " counter(pages);font:8pt ${sans};color:${neutralInk.quiet.light}}}
@media print{
html{font-size:10pt}
body{background:#fff}
.sheet{max-width:none;padding:0}
.generated{position:static;padding:0 0 .6rem;background:none;color:var(--warning)}
.side nav,.documents,.skip,.reader,.reading,.reading-mark{display:none}
header.head{padding:.4rem 0 1rem}
h2,h3,caption{break-after:avoid}
section,section#answer{margin-top:0;padding-top:0;border-top:0}
section>h2{display:flow-root;margin-top:1rem;padding-top:.8rem;border-top:1px solid var(--grid)}
section>h2,.terms,.terms div,.key-figures,.care{min-width:30mm}
section#answer>h2{border-top:3px solid var(--text)}
h3{margin-top:.8rem}
p,li,.terms div{orphans:3;widows:3}
figure,.table.short,.key-figures,.care,tr,.terms div{break-inside:avoid}
thead{display:table-header-group}
tbody tr:nth-child(-n+2){break-after:avoid}
tbody tr:nth-last-child(-n+2){break-before:avoid}
p,li,.terms dd{max-width:56rem}
.terms div{display:grid;grid-template-columns:minmax(0,15rem) minmax(0,1fr);column-gap:1rem;padding:.08rem 0}
.terms dd{margin:0}
li{margin-bottom:.2rem}
figure,.table{margin:1.2rem 0}
figure{float:left;width:100%}
.picture svg{max-height:21.5cm}
table{font-size:8.2pt}
.many{font-size:7.2pt}
.many th,.many td{padding-left:.2rem;padding-right:.2rem}
th,td{padding-top:.26rem;padding-bottom:.26rem}
.table .note{break-before:avoid}
a{color:inherit;text-decoration:none}
.leaflet{font-size:9.3pt}
.leaflet .generated{display:none}
.leaflet .terms div,.brief .terms div{display:block}
.leaflet section>h2{margin:.35rem 0 .2rem;padding-top:.35rem;font-size:1.15rem}
.leaflet p,.leaflet li{margin-bottom:.15rem;line-height:1.3;max-width:none}
.leaflet figure{margin:.3rem 0}
.leaflet .picture svg{max-height:6.2cm;width:auto}
.leaflet header.head{padding:.2rem 0 .4rem}
.leaflet footer{display:none}
${shortPrint}
}
.leaflet .side nav,.summary .side,.start .side nav{display:none}`
}
