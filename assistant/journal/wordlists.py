"""Words that tell names of people from words of the trade. The lists hold kinds of words, no persons.

`GIVEN` are given names that are no English words. `ALSO` are words too, so they count as names only after a title or a
word for a person. `KEPT` are names that stand for tests, signs, lifts and conditions. `TRADE` are words of the floor.
`TERM`, after a name, makes it a term: "Thomas test". `STOP` never begins or goes on with a name. `UNITS` never name a
street.
"""

from __future__ import annotations


def _words(block: str) -> frozenset[str]:
    return frozenset(block.split())


GIVEN = _words(
    """
    anil ann bonnie carl claude connie darlene gail giuseppe hiroshi lawrence yuki
    aaron abdul abdullah abigail adam adriana agata agnes agnieszka ahmed aisha alan albert alejandro alex alexandra
    alfie alfred alice alison alistair allison amanda amelia amina amir amy ana anastasia andrea andreas andrew angela
    angus anita anna anne annette annie anthea anthony antonia antonio archie arjun arthur asha audrey ayesha barbara
    barry beatrice becky belinda ben benedict benjamin bernard bernice bert bertha beryl bessie beth bethany betty
    beverley beverly bianca bogdan brenda brendan brian bridget bronwen bruce bryan callum cameron camilla carla
    carlos carmen caroline carolyn catherine cathy cecilia cecily chantal charlene charles charlie charlotte chen
    cheryl chloe chris christina christine christopher ciara claire clara clare clarence claudia clive colette colin
    connor constance craig cynthia cyril daniel danielle daphne darren dave david dawid debbie deborah deepak deirdre
    delia denis denise dennis derek desmond dev diana diane dimitri dina dmitri dolores dominic donald donna doreen
    doris dorothy doug douglas duncan dylan edgar edith edmund edna edward edwin eileen elaine eleanor elena eli elias
    elisabeth elizabeth ella ellen elsie emeka emily emma enid eric erica ernest esme esther ethan ethel eugene eunice
    eva evan eve evelyn fatima felicity fergus fernando fiona florence fran frances francesca francis francisco
    frederick gareth gavin gemma geoff geoffrey george georgina gerald geraldine gerard gertrude giles gillian
    giovanni gladys glenda glenys gloria gordon graham gregory greta guillermo gustavo gwen gwendoline hamid hannah
    hans harold harriet harry harvey hassan hector helen helena helga henrietta henry herbert hilary hilda horace
    howard hugh hussein ian ibrahim ida imogen ines inga ingrid irene irma isaac isabel isabella isla ismail ivan ivor
    jackie jacob jacqueline jaime jake jamal james jamie jan jane janet janice janine jasmine jason javier jean
    jeanette jeff jeffrey jemima jennifer jenny jeremy jerome jessica jessie jim jimmy joan joanna joanne joe joel
    johan johanna jonathan jordan jorge jose josef josephine joshua joyce juan juanita judith judy julia julian julie
    juliet kamal karen karim karl kate katherine kathleen kathryn kathy katie katy keith kelly kenneth kerry kevin
    khadija khalid kieran kim kimberly kirsten kofi krishna kumar kwame kyle lara larry laura lauren laurence leah
    leila leon leonard leonora leroy lesley leslie lilian lillian linda lindsay lionel lisa liz lois lorna lorraine
    louis louisa louise lucia lucille lucy luigi luis luke lydia lynda lynn lynne mabel madeleine madge magda maggie
    malcolm mandy manuel marcel marcia marcus margaret margarita margery margot maria marian marianne marie marilyn
    mario marion marjorie marlene martha martin martina mary matilda matthew maud maureen maurice mavis maxine mei
    melanie melissa melvyn mercedes meryl michael michelle miguel mildred millicent millie minnie miriam mohamed
    mohammed moira molly mona monica morag muhammad muriel myra myrtle nadia nancy naomi natalie natasha neil nellie
    neville ngozi nicholas nicola nicole nigel nina noah noel nora noreen norma norman odette olga oliver olivia omar
    oscar oswald owen pamela patricia patrick paul paula pauline pavel pedro penelope percy peter petra philip
    philippa phoebe phyllis pierre piotr polly prakash priscilla priya queenie rachel rafael raj rajesh ralph ramesh
    ramon raymond rebecca reg reginald rhoda rhona ricardo richard rita robert roberta roberto roderick rodney roger
    roland ronald ronnie rosa rosalind rosemary rosie rowena roxanne roy rupert russell ruth ryan sabrina sadie sally
    samantha samuel sandra sanjay sara sarah sasha scott sean sebastian selina sergei shamima shanice sharon sheila
    shirley sibyl sidney sigrid simon sofia sonia sophia sophie stanley stella stephanie stephen steve steven stewart
    stuart sunita surinder susan susanna suzanne svetlana sybil sylvia tamara tanya tara tariq ted terence teresa
    tessa thelma theodore theresa thomas tim timothy tina tobias tom tomasz tony tracey tracy trevor trudy ursula
    valerie vanessa vasco vera verity vernon veronica victor victoria vikram vincent viola vivian vivien vladimir
    walter wanda wayne wei wendy wilfred wilhelmina william willie wilma winifred wojciech xavier yasmin yolanda yusuf
    yvette yvonne zachary zainab zara zoe
    """
)

ALSO = _words(
    """
    amber april art bill billy bob carol chad chase clay cliff daisy dale dawn dean dick don dot drew earl faith fay
    fern flora frank gale gene glen grace grant hazel heather holly hope iris ivy jack jade jasper jerry jewel jo john
    joy june kay ken lance lee lily mark may miles nick norm olive opal pam pat patience patsy pearl peg peggy penny
    pete phil poppy ray reed rich rob robin rod ron rose ruby rusty sam sandy sky stan sue summer terry val vic violet
    wade ward will woody
    """
)

KEPT = _words(
    """
    achilles alzheimer alzheimers american april august baker bakers barthel bell bells berg biodex borg boston bosu
    british brzycki bulgarian buteyko cawthorne cesarean christmas colles cooksey copenhagen cossack covid cushing
    december dixon dr dupuytren dupuytrens easter english epley erben february feldenkrais friday fugl gaenslen gp
    guillain hallpike hoehn january jefferson july june karvonen katz kegel kegels keiser kendall lachman lawton ldl
    lombard london march may mcgill mcmurray mediterranean meniere menieres meyer monday morton mortons mr mrs ms nhs
    nordic november ober october oswestry otago paget pagets pallof parkinson parkinsons pilates raynaud raynauds
    rikli romanian romberg russian saturday scheuermann schober september sjogren sjogrens smith sppb sunday swedish
    swiss tabata tanaka thursday tinetti trendelenburg tuesday tug turkish viagra watson wednesday wolff yahr zercher
    zumba
    """
)

TRADE = _words(
    """
    abduction age aged ankle arm arthritis back balance band bar barbell belt bench bent body both box bridge
    bulgarian cable calf cane carry chair chest cone core counter curl deadlift deep depth dip drop dumbbell easier
    eccentric elbow elevated exercise extension farmer farmers female flexion floor foot forward front gait glute
    goblet grip half hamstring hand harder heel high hike hikes hinge hip hold hop incline jump kettlebell kickstand
    knee kneel kneeling lateral left leg lift load loaded low lunge lunges machine male march mat new old op overhead
    pad pelvis plank plate pole poles post pre press pull pulldown push quad ramp range reach rep reps reverse right
    rise rows rung seat seated seconds set sets shoulder side single sit slow split squat squats stairs stance stand
    standing step steps stretch suitcase support supported tandem test tests toe touch transfer trunk twist up upright
    walk walking wall weight wide wrist
    """
)

TERM = _words(
    """
    bar carry classification curl curls cyst deadlift disease formula fracture grade guideline guidelines handicap
    hold index lift lunge lunges machine maneuver manoeuvre method palsy position press protocol protocols
    questionnaire rack raise row rows scale score sign squat squats stage stance stretch study syndrome technique test
    tests walk
    """
)

STOP = _words(
    """
    a about advised after again age aged agreed all also am an and any appointment are as asked asks at back be been
    before but by came can cannot cant cleared clinic could day days did do does doesnt doing done dont down each
    either every feels felt finds for from gave gets goes going got had hardly has hasnt have having he her here hers
    herself him himself his home how i if in into is isnt it its just keeps kept last letter lost may me might more
    moved must my myself needs never new next no not note notes now of off on once one only or our out over put
    referral reports said saying says seems she should signed since so some still surgery takes that the their them
    then there they thinks this though to today told too tries trying two under until up use used uses using very
    visit walks wants was wasnt we week weeks went were weve what when where which while who whos why will with
    without wont working works would yes yet you your
    """
)

PARTICLE = _words(
    """
    al bin da de del della den der di dos el ibn la le mac ter van von
    """
)

UNITS = _words(
    """
    a all along an and are at by cm cone cones country day days down each feet foot for from ft her his if in inch
    inches is it kg km lap laps lb m mile miles min mins minute minutes mm my of on or out over per percent rep reps s
    sec second seconds session sessions set sets side sides stone the then this times to up week weeks with x yard
    yards year years
    """
)
