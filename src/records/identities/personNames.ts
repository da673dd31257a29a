/**
 * Given names and surnames that are common where the six languages are spoken, in lower case without accents. Words that
 * also mean something in the trade or in plain speech (max, mark, rose, pilar) are left out. General knowledge, no source.
 */
const givenNames = new Set(
  `aaron abigail ada siobhan sinead wei mei anil ravi priya sanjay fatma ayse hiroshi yuki jun min sven lovisa agata malgorzata piotr krzysztof tomasz jana zuzana ivana dragan milan goran svetlana natasha dmitri sergei vladimir yusuf omar ali hussein leyla
   adam adele adelheid adrian agnes agnieszka ahmed aisha alain alan albert alberto alejandra alejandro
  alessandra alessandro alessia alessio alex alexander alexandra alexandre alfonso alfred alfredo alice alicia alina
  alison allison alvaro amanda amelia amelie amy ana anastasia anders andre andrea andreas andrei andres andrew
  angela angelika anita anja anke anna annalena anne anneliese annette annick annika anthony antje antoine
  antoinette anton antonella antonia antonio armin arnaud arnold arthur arturo astrid aurelie axel barbara beate beatrice
  beatriz benedikt benjamin bernadette bernard bernardo bernd bernhard bettina birgit bjorn boris brian brigitte bruno
  camila camille carina carla carlo carlos carmen carole carolina caroline caterina catherine catia cecile cecilia celine
  chantal charles charlotte chiara chloe christa christian christiane christina christine christophe christopher claire
  claude claudia claudine claudio clemens clement colette conchita corinna corinne cornelia craig cristian cristiano cristina
  cynthia dagmar damien daniel daniela daniele danielle dario david deborah debra denis denise dennis detlef diana didier
  diego dieter dietmar dominik dominique donald donna doris dorothea dorothy eberhard edith edoardo eduard eduardo edward
  egon ekkehard elaine eleanor elena eleonora elfriede eliane elias elisa elisabeth elisabetta elise elizabeth elke ella
  ellen elodie elsa emanuele emil emilia emilie emily emma emmanuel emmanuelle enrico enrique eric erica erich erik erika
  ernst erwin esteban ester esther estelle eugen eugenia evelyn fabian fabien fabienne fabio fabrice fatima federica
  federico felipe felix ferdinand fernanda fernando fernande filipe filippo florence florian frances francesca francesco
  francine francis francisca francisco franck franco francois francoise frederic frederique friedrich fritz gabriel
  gabriela gabriele gabriella gaelle gary genevieve georg george georges gerard gerardo gerd gerhard gerlinde gerta
  gertrud gianluca gianni gilbert gilles gina giorgia giorgio giovanna giovanni gisela gisele giulia giuliana giulio
  giuseppe giuseppina gonzalo gordon graham gregor gregory gudrun guido guillaume guillermo gunter gunther gustav gustavo
  hannah hannelore hanna hanne hans harald harold harry hartmut hassan heather hector heidi heike heiko heinrich heinz
  helen helena helene helga helmut henri henriette henrik henry herbert hermann hilda hildegard holger horst hubert hugo
  ignacio igor ilaria ilse ines ingeborg ingo ingrid irene irina irma isabel isabella isabelle ivan jack jacob jacqueline
  jacques jakob james jan jana jane janet janine jannik jasmin jason javier jean jeanne jeannette jeffrey jelena jennifer
  jens jeremy jerome jessica jesus jill jim joachim joan joana joanna joanne joao joaquin joel johan johanna johannes john
  johnny jonas jonathan jorg jorge jose josef josefa josefina joseph josephine joshua joyce juan juana judith julia julian
  juliane julie julien juliette julio jurgen justin jutta kai karen karin karina karl karla karsten katarina katharina
  katherine kathleen kathrin kathryn katja katrin kelly kenneth kerstin kevin kimberly klaus konrad konstantin kristin
  kurt lars laura laure laurence laurent lea leandro leila lena leo leon leonardo leonie leonor leticia lidia lina linda
  lisa lisbeth loic lorena lorenzo lothar louis louise luc luca lucas lucia luciana luciano lucie lucien ludovic ludwig luigi
  luis luisa luise lukas luke lutz lydia lynn madeleine magali magdalena maite malte manfred manon manuel manuela marc
  marcel marcela marcello marcelo marco marcos marcus margaret margarethe margarita margherita margit margot marguerite
  maria mariana marianne maribel marie marietta marika mario marion marjorie marlene marta martha martin martina martine
  mary maryse massimo mateo matheus mathias mathieu mathilde matteo matthew matthias matthieu maurice mauricio maurizio
  mauro maxime maximilian mechthild mehmet melanie melissa mercedes michael michaela michel michela michele micheline
  michelle miguel mikael milena mirco mireille miriam mohamed mohammed monica monika monique muriel murielle mustafa nadia
  nadine natalia natalie nathalie nathan nelly nicholas nicola nicolas nicole niklas nikolaus nils nina noah noemi norbert
  nuno odette odile olaf olga oliver olivia olivier oscar oskar osvaldo otto pablo pamela paola paolo pascal pascale
  patrice patricia patricio patrick patrizia paul paula paulina pauline paulo pavel pedro peter petra philip philipp
  philippe pia pierre piero pietro rachel rafael raffaele raffaella rainer ralf ralph ramona raphael raquel raul raymond
  rebecca regina regine reinhard reinhold renata renate renato rene renee ricardo riccardo richard rita robert roberta
  roberto robin rocco rodrigo roger roland rolf romain roman romina ronald rosalie rosanna rosario rosemarie roswitha
  ruben rudiger rudolf rui ruth ryan sabine sabrina salvador salvatore samantha samuel samuele sandra sandrine sara sarah
  sascha saskia scott sean sebastian sebastien serena serge sergio severine sharon sheila shirley siegfried sieglinde
  silke silvia silvio simon simona simone sofia solange sonia sonja sophia sophie stefan stefania stefanie stefano steffen
  stephan stephane stephanie stephen steve steven stuart susan susana susanne suzanne svea sven svenja sybille sylvain
  sylvie tamara tania tanja tatiana teresa terence thea theodor theresa therese thierry thomas thorsten tiago tilman tim
  timo timothy tobias todd tom tomas tommaso torsten tracy trevor udo ulf ulrich ulrike urs ursula ute uwe valentin
  valentina valerie vanessa vera veronica veronika veronique vicente victor victoria viktor viktoria vincent vincente
  vincenzo virginia virginie vittorio vivian viviane volker walter waltraud wanda wendy werner wilfried wilhelm willi
  william winfried wolfgang xavier yannick yasmin yolanda yves yvette yvonne zoe`.split(/\s+/),
)

const surnames = new Set(
  `khan singh kumar sharma gupta kim lee chen wang zhang liu huang tran pham nguyen ivanov ivanova petrov petrova novak kowalski nowak hansen olsen larsen andersen lovelace hopper curie connor oconnor obrien byrne ryan doe public bloggs
  adams aguilar albrecht allen almeida alonso alvarez alves anderson andersson antunes araujo arnold bailey baker barbieri
  barbosa barnes bartolini bauer baumann becker beck bellini bennett berger bergmann bernardi bertrand bianchi bianco blanc
  blanco blanchet bohm bonnet bosch bouvier boyer brandt braun brooks brown bruno bruni busch butler campbell campos caputo
  cardoso carter caruso carvalho castillo castro cattaneo chevalier clark clarke clement coelho colombo conti cook cooper
  correia costa coppola cox cruz cunha davies davis delgado deluca denis diaz dias dominguez dos duarte dubois dufour dumont
  dupont durand edwards engel evans fabre faria faure fernandes fernandez ferrara ferrari ferreira ferri fischer flores
  fontaine fontana fonseca foster fournier fran frank franke friedrich fuchs gallego gallo garcia garnier gauthier gatti
  gentile gerard gimenez girard giordano gomes gomez goncalves gonzalez graf gray greco green guerra guerin gunther gutierrez
  haas hahn hall harris hartmann heinrich henry herman hernandez herrera herrmann hill hoffmann hofmann horn howard hubert
  huber hughes iglesias jackson jager jenkins jensen jimenez johansson johnson jones jung kaiser kaufmann keller kelly klein
  koch kohler koenig konig kramer kraus krause kruger kuhn lambert lang lange lefebvre lefevre legrand lehmann leroy lewis
  lombardi lombardo longo lopes lopez lorenz ludwig macedo maier mancini marchand marchetti mariani marin marino marques
  marshall martinelli martinez martini martins mason mathieu matos mayer meier meireles melo mendes mendoza mercier meyer
  miller mitchell molina monteiro moore morales moreau moreira morel moreno moretti morgan morin morris moser mueller muller
  muñoz munoz murphy murray musterfrau mustermann nascimento navarro neumann neves nguyen nicolas nielsen nogueira nunes
  oliveira olsen ortega ortiz otto pagano palmer parker patel peeters pellegrini pena pereira perez perrin peters peterson
  petersen petit pfeiffer phillips pinto pires poirier pohl powell price quinn ramirez ramos reed rey reyes ribeiro ricci
  richter rinaldi rivera rizzi rizzo roberts robertson robinson rocha roche rodrigues rodriguez rogers romano romero rossi
  rousseau roux ruiz russo sala salazar sanchez santoro santos sanders sanz sauer schafer schmid schmidt schmitt schmitz
  schneider schreiber schroder schubert schulte schulz schultz schumacher schuster schwarz scott seidel serra serrano shaw
  silva simmons simpson smith soares sommer sousa souza stein stewart suarez sullivan taylor teixeira testa thomas thompson
  torres turner valentini vargas vasquez vaz vazquez vega vidal vieira villa vincent vitale vogel vogt voigt wagner walker
  wallace walsh walter ward watson weber weiss werner white williams williamson wilson winkler winter wolf wolff wood wright
  young zanetti ziegler zimmermann`.split(/\s+/),
)

function plain(word: string): string {
  return word
    .toLowerCase()
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/ß/g, 'ss')
}

/** Whether a word is a common given name. */
function isGivenName(word: string): boolean {
  return plain(word)
    .split('-')
    .some((part) => givenNames.has(part))
}

/** Whether a word is a common given name or surname. */
export function isPersonName(word: string): boolean {
  return plain(word)
    .split('-')
    .some((part) => givenNames.has(part) || surnames.has(part))
}

const token = /^\p{L}[\p{L}'’-]*\.?,?$/u
const particles = new Set(
  'de da do dos das di del della van von der den ten la le du al el bin ben zu e y'.split(' '),
)

/** Given names that are also words of the trade or of plain speech: names only beside a common surname. */
const doubtfulGivenNames = new Set(
  'max will mark rose grace art pat bill frank dean guy drew angel iris eva pilar rosa clara blanca marina dick ray gold sol luz gloria viola dawn april may june summer sandy'.split(
    ' ',
  ),
)

const titles = new Set(
  'mr mrs ms miss mx dr prof sir lady herr herrn hr frau fr fraulein familie family mme mlle monsieur madame famille sr sra srta senor senora familia sig signor signora dott dottssa famiglia'.split(
    ' ',
  ),
)

/**
 * Whether a text is or holds a person's name for certain: a common given name beside another name, an initial or title
 * beside a common surname, in either order, in any letter case where the text is nothing else, and with capitals where it
 * stands in a sentence.
 */
export function holdsPersonName(text: string): boolean {
  const words = text.split(/[\s_/]+|(?<=,)|(?<=\p{L}{2})\.(?=\p{L}{2})/u).filter((word) => word !== '')
  if (words.length < 2) return false
  const bare = words.map((word) => word.replace(/[.,;:]+$/, ''))
  return isNameAlone(words, bare) || isNameInText(words, bare)
}

function isNameAlone(words: readonly string[], bare: readonly string[]): boolean {
  if (words.length > 6 || !words.every((word) => token.test(word))) return false
  const names = bare.filter((word) => !particles.has(word.toLowerCase()))
  const known = names.filter((word) => word.length > 1 && isPersonName(word)).length
  const given = names.filter((word) => word.length > 1 && isGivenName(word)).length
  const doubtful = names.filter((word) => doubtfulGivenNames.has(plain(word))).length
  const initials = names.filter((word) => /^\p{Lu}$/u.test(word)).length
  const titled = names.filter((word) => titles.has(plain(word))).length
  const capital = names.every((word) => /^\p{Lu}/u.test(word))
  if (names.length < 2 || known === 0) return false
  const rest = given + initials + titled + doubtful
  if (known + initials + titled + doubtful === names.length && rest > 0) return true
  return names.length <= 4 && capital && given >= 1 && known + initials + titled >= names.length - 1
}

/** In a sentence only two names with capitals, one after the other, are certain. */
function isNameInText(words: readonly string[], bare: readonly string[]): boolean {
  return bare.some((word, index) => {
    const next = bare[index + 1]
    if (next === undefined || !/^\p{Lu}/u.test(word) || !/^\p{Lu}\p{L}/u.test(next)) return false
    return isGivenName(word) && isPersonName(next) && !/[.;:]$/.test(words[index]!)
  })
}
