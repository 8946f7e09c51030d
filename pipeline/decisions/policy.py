"""Thresholds of the decisions, each with its unit and reason."""

from __future__ import annotations

MIN_JOBS_A_CREW = 8
"""Jobs; with fewer a crew's ratio says more about its houses than about the crew."""
MIN_CREWS = 2
"""Crews; one crew has nobody to be compared with."""
MIN_JOBS_A_TERM = 5
"""Jobs for each term of the model of hours; with fewer it would fit accidents of the season."""
CLEAR_OVERDISPERSION = 1.2
"""Times the spread of Poisson counts from which the report speaks of clusters; less is within what jobs vary."""
WRONG_PAIR_CHANCE = 0.05
"""Chance, over all pairs of kinds, of calling any two apart whose rates are equal."""
CLUSTER_CHANCE = 0.05
"""Chance of as much clustering in counts without any, under which the report says that faults come in clusters."""
MIN_FAULTS_A_TERM = 8
"""Failed points of a kind or surface, and for each term of the model of failures; with fewer a multiplier is noise."""
MIN_JOBS_FOR_FAULT_COST = 10
"""Jobs with service, from which the spread of the cost of a fault is drawn; with fewer it is assumed."""
CLEAR_CHOICE = 0.99
"""Chance of being the cheapest way from which a way of crossing a gap is called the cheapest: ten gaps of several
spacings are spoken of in one breath, and at .95 a true word for each would not make a true sentence."""
GAPS_FT = (2, 4, 6, 8, 10, 12, 14, 16, 18, 20)
"""Gaps between rooflines for which the ways of crossing them are compared."""
MIN_JOBS_FOR_PRICE = 10
"""Jobs; a bootstrap over fewer is not worth its name."""
BOOTSTRAP_DRAWS = 2_000
"""Draws of a bootstrap: limits move by about 1 % of their width from seed to seed."""
DEMAND_DRAWS = 10_000
"""Draws of next season's need: from seed to seed P10, P50 and P90 move by about half a percent of the need."""
CUT_DRAWS = 200
"""Of those, draws of which the new jobs are kept one by one, as cut lists for the spools."""
LARGEST_BLOCK = 4_000_000
"""Cells of draws by jobs or properties worked on at once: 32 MB in double precision."""
MOST_TENURES = 4
"""Seasons on the books from which tenures are taken together: few properties are older, and they differ little."""
TENURE_WORTH = 20.0
"""Properties that the common chance of returning is worth in that of one tenure: with fewer of its own a tenure follows
the others."""
NEW_JOBS_CHANGE = (0.2, 2.5)
"""Deviation of the logarithm of the yearly change in new jobs that lasts: its middle, and what that is divided and
multiplied by for limits of 95 %, until the store shows its own. A plain year moves a small firm by a fifth for good;
one firm in forty by less than a twelfth, one in forty by more than half (common practice, no source)."""
NEW_JOBS_LUCK = (0.1, 2.5)
"""The same for a season's luck beyond chance, such as a good advert or a wet autumn, which is gone with the season:
half as much as what lasts (common practice, no source)."""
SHOP_CHANGE = (0.2, 4.0)
"""The same for goods used in the shop, for each job: common practice, no source."""
EARLIER_WORTH = 0.5
"""What a new job of the season before is worth when next season's new jobs are drawn, against one of this season; of
the season before that again so much: more jobs tell colours and sizes better, and tastes change (common practice, no
source)."""
RENEWED_SHARE = 0.5
"""Share of an item built at a property from which its net issue there, at the end of its life, is a renewal and not a
replacement of single pieces."""
MOST_CELLS = 200_000
"""Quantities of an item that are compared: its need in steps of what its pack sizes have in common."""
TOP_UP_GROUPS = 20
"""Groups of draws, by what is foreseen, among which a top-up is decided: with 10,000 draws 500 in each."""
TOP_UP_LEAD_DAYS = 30
"""Days; goods that take longer come too late for what is found missing when the season's jobs are known: common
practice, no source."""
MOST_FILL = 2.0
"""Times the largest need of an item up to which its order may fill a supplier's least order."""
SHADOW_USD = 100
"""What a limit is moved by to say what it costs, usd."""
FEW_SEASONS = 3
"""Seasons; with fewer the spread between them is known so little that prices for high chances run far up."""
USUAL_USD_PER_FT = (3.0, 15.0)
"""Prices of a foot hung and taken down that are usual in the trade, usd: common practice, no source. A price beyond
them is looked at again and never corrected; one on a limit is within."""
LEAST_GROWTH = 0.25
"""Next season's feet over this one's under which no forecast goes: with fewer the overhead would be cut as well."""
CHANCES = (0.5, 0.8, 0.9, 0.95)
"""Chances of reaching the target margin for which a price is given."""
CARD_CHANCE = 0.8
"""Chance of reaching the target margin at which the rate card is written."""
LEAST_REMNANT_FT = 10
"""Feet of line left over from which a length goes back to stock: most runs are longer (common practice, no source)."""
SLOPE_MISSING_SHARE = 0.05
"""Share of jobs without a slope above which its absence is a term of its own."""
MIN_SHARE_SPREAD = 0.02
"""Standard deviation of a share of surface below which it tells jobs apart too little to be fitted."""
MIN_JOBS_FOR_COST_FUNCTION = 30
"""Jobs; a start and one rate a foot need JOBS_A_COEFFICIENT each."""
JOBS_A_COEFFICIENT = 15
"""Jobs for each coefficient of the cost function; with fewer a fit follows its own jobs rather than the next ones
(Harrell, Regression Modeling Strategies: 10 to 20)."""
MIN_JOBS_A_KIND = 8
"""Jobs with feet of a kind of roofline, or of a kind of work, below which it has no rate of its own."""
COST_DRAWS = 1_000
"""Draws of the cost function's bootstrap: limits move by about 2 % of their width from seed to seed."""
LARGEST_CONDITION = 30.0
"""Condition number of the fit from which columns depend on each other harmfully (Belsley, Kuh and Welsch 1980)."""
SIZES_FT = (50, 75, 100, 150, 200, 300, 400, 600)
"""Sizes of job for which the cost of a foot is shown, as far as the season had such jobs."""
CONTINUOUS_SHARE = 0.8
"""Share of a breaker's rating that a continuous load, three hours or more, may take: NEC 210.20(A)."""
LONGEST_DAYS_UP = 90
"""Days that temporary holiday decorative lighting may hang: NEC 590.3(B). The 90th is inside."""
NOTED_DROP_SHARE = 0.03
"""Share of the voltage lost at the farthest point from which it is said: NEC 210.19(A), informational note (mem.)."""
MIN_QUOTES = 50
"""Quotes of a kind of work, won and lost, from which a response of winning to price is fitted."""
OUTCOMES_A_COEFFICIENT = 10
"""Of the rarer outcome for each coefficient; with fewer a logistic fit follows accidents (Peduzzi et al. 1996, Journal
of Clinical Epidemiology 49)."""
BEST_PRICE_QUOTES = 500
"""Quotes from which one best price is named; with fewer a range is all that they tell."""
BEST_PRICE_TAIL = 0.1
"""Chance left out at each end of the range in which the best price lies: four times in five it is within."""
PRICE_TAIL = 0.05
"""Share of the quotes at each end whose price beside like houses is not reached: there too few were tried."""
DEARER = 0.05
"""The rise whose effect on winning is spoken of, as a share of the price: within what most firms have tried."""
RESPONSE_DRAWS = 1_000
"""Draws of a response's coefficients: limits move by about 2 % of their width from seed to seed."""
EVALUATED_QUOTES = 400
"""Quotes of the season over which a response is averaged; more of them move the average by less than its limits."""
TRIED_RISES = (-0.05, 0.02, 0.05, 0.1, 0.15)
"""Rises for which a break-even loss is given, as shares of the price; a cut stands first."""
CREW_DRAWS = 4_000
"""Draws of crews' effects and of the largest difference: an adjusted chance of 5 % is known within .7 %."""
WILD_BOUND = 2.0
"""Standard deviations from which a job counts as if it lay there; of jobs that scatter by the bell curve 1 in 22 does,
and the estimate is then 1 % less exact than least squares (Huber 1981)."""
WILD_JOB = 3.5
"""Standard deviations from which a job is named as wild: 1 in 2,000 by the bell curve."""
WRONG_CREW_CHANCE = 0.03
"""Chance by the model, over all comparisons of crews in a season together, of calling one faster where all are equal:
made seasons whose truth the model cannot bend to then stay under 5 %."""
STEEP_FROM = 6.0
"""Inches of rise in 12 from which a slope slows more for each inch: to about 6 in 12 people walk a roof (common
practice, no source)."""
HOUSE_CLASSES = 5
"""Classes of houses by difficulty, equally many in each, for how far two crews' houses are alike."""
LITTLE_OVERLAP = 0.5
"""Share of houses alike under which a comparison of two crews rests on the model more than on the houses."""
MIN_SEASONS = 3
"""Seasons from which a crew's lasting pace is told from its seasons' own; two would leave one difference for both."""
MIN_JOBS_TO_LEARN = 20
"""Jobs of a crew from its start on, to tell learning from the luck of its first houses."""
MIN_DOUBLINGS = 2.0
"""Doublings of a crew's cumulative feet; over less than four times its first feet a slope is not to be seen."""
ACCURACY_GIVEN_UP = 0.01
"""Share by which a rate card's error may grow for the sake of fewer lines: people quote from it at a ladder's foot."""
SEGMENT_ERROR = 0.03
"""Share by which a rate card may be off in a kind of work; more would be seen in that kind's margin."""
LINE_ERROR = 0.015
"""Share by which leaving out a line of the card may put a kind of work off what it is expected to need: half of
SEGMENT_ERROR, as the luck of the jobs that the card is told from moves it as far again."""
KEPT_A_SEASON = 0.8
"""What a season's work counts for against the season after it when a card's rates are told from both: crews and ways of
working change (common practice, no source); made firms that do not change are fitted nearly as well as with 1."""
BEYOND_LUCK = 2.0
"""Standard errors from which a card's error in a kind of work is more than its houses' luck: 1 in 22 by chance."""
MIN_JOBS_A_SEGMENT = 30
"""Jobs from which a card is held to a kind of work; of fewer the luck of single houses is beyond SEGMENT_ERROR."""
STEEP_SLOPE = 9
"""Rise in 12 from which a roof cannot be walked without more care: common practice, no source."""
CARD_VISIT_STEP = 5
"""Dollars to which charges for a whole job are rounded; a smaller step would look like a sum of something."""
MIN_JOBS_A_WEEK = 5
"""Jobs of a week from which its own ratios count; with fewer they are those of single houses."""
MIN_WEEKS = 4
"""Weeks from which a tenth of them at each end means anything."""
WRONG_CHANGE_CHANCE = 0.05
"""Chance, over all comparisons of a season with the one before, of calling any change more than chance that is none."""
MIN_DAYS_FOR_PACE = 8
"""Days of installation in each season, from which limits of a change of pace are given; fewer say little of weather."""
