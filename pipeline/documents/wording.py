"""The words that reports share: patterns of sentences, and those that stand in a report whatever the season."""

from __future__ import annotations

from pipeline.documents.model import Figure, Number, Text, say


def change_words(
    who: str, what: str, change: Figure, *, more: bool, sure: bool, words: tuple[str, str] = ("more", "fewer")
) -> Text:
    """A change as a sentence: `who` (lower case) did so much more or fewer `what` only where that is more than chance.

    `change` is a share without its sign, its interval in the same direction; `more` says which way it goes.
    """
    between = f" ({change.shown_interval})" if change.shown_interval else ""
    word = words[0] if more else words[1]
    if sure:
        who = who[:1].upper() + who[1:]
        return say("{} {} {} {}{}, which is more than chance would make.", who, change, word, what, between)
    return say("Whether {} {} or {} {} cannot be told: {} {}{}.", who, *words, what, change, word, between)


def more_or_less(amount: Figure, change: Number, than: str) -> Text:
    """`$40 more than in 2024/25`; `as much as in 2024/25` where nothing changed. `amount` is without its sign."""
    if not change:
        return Text((f"as much as {than}",))
    return say("{} {} than {}", amount, "more" if change > 0 else "less", than)


CHANGE_ONE_SEASON = (
    "Only this season is in the store. Close an earlier one as well, and this section says what changed and why."
)
CHANGE_METHOD = (
    "Pace as the houses came is hours over feet, its limits by days, which share their weather. On equal houses it is "
    "the season's term of the model of hours, within the crews of both seasons. Failures are compared by the exact "
    "conditional test, widened where they come in clusters; shares by Newcombe's limits (1998). Limits are 95 % each "
    "by itself. More than chance: the limits that hold for all comparisons at once leave out equality, so that a "
    "season in which nothing changed would show any change in one of twenty at most."
)
CHANGE_GOODS_METHOD = (
    "Goods that left stock count in full here, also those that a lease spreads over seasons. Work is by what was "
    "built, new and repeat apart; by feet where goods are in no run or connection. The price of a kind moves too "
    "where other items of it are used."
)

NOT_KNOWN_NOTE = "A dash stands where the records handed in do not say; it is never a zero."

COST_METHOD = (
    "A job's cost is its labor, materials, travel, equipment, service and share of overhead. A cost per foot is the "
    "sum of the jobs' cost over the sum of their feet, never the mean of the jobs' own figures."
)
LABOR_METHOD = (
    "Labor is hours at the wage in force that day, the overtime premium of the worker's week and the employer's "
    "burden. Hours with no job, and shop, training and weather hours, are spread over the branch's jobs by their "
    "hours. Taxes that stop at a yearly pay are those of each worker's calendar year, spread evenly over that year's "
    "pay in the records, so that early jobs do not look dear; each January they start again."
)
LEASED_METHOD = (
    "Leased goods are borne by the seasons that they last; goods that were sold are borne by their job in full. Goods "
    "count at what was paid for them, freight and opening stock averaged in; at list price where nothing was bought."
)
OUTSIDE_METHOD = (
    "These are costs of the branch that no job bears, beside the cost of a foot. A count before the first installation "
    "is taken as what was carried over, without what the season bought. Goods of a kit that did not return count as "
    "usable where a row returns them from its job."
)
SHRINKAGE_UNKNOWN = (
    "What is missing from stock cannot be told: it takes a count of an item before the first installation and one at "
    "the end, purchases and movements."
)
BEYOND_METHOD = "An amount below nothing: less was issued than stands in new jobs, or more came back than went out."
CARD_CAUTION = (
    "The card is for houses like this season's. A house with poor access, brittle tiles or no safe footing is quoted "
    "by hand, or left alone."
)
MOVES_METHOD = (
    "Each cause is moved alone over the range in which its weeks lay this season, weighted by their feet; of returning "
    "properties the range is an 80 % interval. A week differs more than a season does, so these ranges are wide."
)
RENEWALS_METHOD = (
    "What a season leaves is charged less cost, with its overhead. Later seasons follow at the rate at which "
    "properties came back, rate / (1 - rate) of them on average; money of later years counts in full, and a kit that "
    "does not return is not written down here. Limits are those of the rate alone."
)
PRICE_METHOD = (
    "Price = cost / (1 - margin). Putting the margin on top of cost, as cost x (1 + margin), would leave less than "
    "the margin that was meant. The chance comes from how far the seasons in the store were off what each foretold of "
    "the next (Student's t, as many degrees of freedom as changes), from how many feet the fixed overhead may lie on, "
    "and from drawing the season's jobs again and again."
)
MARKUP_METHOD = (
    "Margin is measured against the price and markup against the cost: a margin of one third is a markup of one half."
)
BLAME_METHOD = (
    "The part that did it is the one that lies furthest above what the firm's other jobs of the same work, terms and "
    "stories came to, in dollars a foot; a price below theirs counts as a part. Where fewer than 8 are that alike, "
    "jobs of the same work and terms are taken, then all."
)
QUOTES_CAUTION = (
    "Quotes are not an experiment: a dear quote may have gone to a customer who was hard to please for another "
    "reason. Move prices in small steps and keep the quotes, lost ones too."
)
QUOTES_METHOD = (
    "The chance of winning is a logistic regression on the price a foot beside that of like houses (what feet, stories "
    "and season make of it is taken out first), with Firth's penalty (1993). What is left is the price less next "
    "season's direct cost: overhead stays whether a job is won or lost, and what a customer leaves in later years is "
    "not counted, which speaks for the lower end. All of the season's prices are moved together, no further than "
    "quotes for like houses differed; what would be won beyond the crew hours that are left leaves nothing. "
    "The last revision of a quote counts, and one that stayed open for more than 60 "
    "days is lost."
)
GOOD_PRICE_DEFINITION = "limits of the price at which most is left: it lies beyond each with a chance of 10 %"
MOST_HOURS_DEFINITION = (
    "direct crew hours that a season can have: the setting crew_hours, else those of the season in the store with most"
)
BREAK_EVEN_METHOD = (
    "May lose = rise / (what was left of the price after direct cost + rise). After a cut the number below nothing "
    "says how many more jobs must be won. Overhead is taken to stay when a job goes."
)
CASH_METHOD = (
    "Pay lies in the month in which its week ends, overheads have no dates and lie evenly over the year, and miles are "
    "at the mile rate, which holds wear besides fuel. Next season is this one again with the rises of the settings and "
    "the advised order. Loans, sales and income tax and what the owner draws are in no record and not in it."
)
TAX_CAUTION = (
    "Pay, payroll taxes, workers' compensation and sales tax follow the law of the place, and the law changes. The "
    "figures here are for pricing, not for paying: the law and a payroll professional come first."
)
SEGMENT_CAUTION = (
    "Kinds of work differ in more than one way at once: a difference between two rows is what happened, not what "
    "changing that one thing would do."
)

BUILD_UP_METHOD = (
    "Pieces of labor are hours at their loaded cost: wage, overtime premium and burden. Pay not by the hour is piece, "
    "day and subcontract pay. Leased goods count with their share of this season. The pieces add up to the cost, "
    "and with what is left over to what was charged."
)
VARIANCE_METHOD = (
    "The standard is the firm's own: what the season before took for a foot, and what it paid. A price variance is "
    "this season's quantity x (price now - price before); a quantity variance is (quantity now - quantity for these "
    "feet and kinds of work) x price before. All variances together are the whole difference, to the cent."
)
VARIANCE_CAUTION = (
    "A variance says where the money went and not who is to blame: harder houses, weather and longer drives are among "
    "the quantities."
)
COST_FUNCTION_METHOD = (
    "Cost before overhead is fitted to the season's jobs as a start and a rate for each foot, none below nothing, jobs "
    "weighted by 1 / feet; overhead is added by its basis. Intervals are 95 %, from drawing the jobs again and again. "
    "Rates of a foot hold at the season's mix of new and repeat, leased and sold work."
)
COST_FUNCTION_CAUTION = (
    "What a surface costs is told from whole jobs that have more or less of it: it is what went with it, trees, access "
    "and yards included."
)
CREW_SEGMENT_CAUTION = (
    "A crew's cost is that of the houses that it was sent to; the manager's report compares crews on equal houses."
)

SPREAD_HOURS = (
    "Hours are not written down by job here and are spread by feet: kinds of work differ in price and goods, and their "
    "hours cannot."
)

CREW_METHOD = (
    "Expected hours are those that the average crew would have taken for the same houses, given their feet, work, "
    "terms, stories, slope and surfaces. Observed over expected below 1 is fewer hours than the houses ask for. "
    "Intervals are 95 %."
)
CREW_LIMITS_METHOD = (
    "A crew or a pair is told apart only where its interval would lie clear of equal among all comparisons of the "
    "season at once (largest t of all, by a parametric bootstrap): with all crews equal, fewer than 1 season in 20 "
    "would show any difference. Each crew has its own effect, so that skilled crews on hard houses are not taken for "
    "average ones. Multipliers compare houses within crews, and count days and not jobs, since jobs of a day share its "
    "weather."
)
LEARNING_METHOD = (
    "Learning follows the unit model (Wright 1936): each doubling of the feet that a crew has hung leaves the same "
    "share of its hours a foot; houses, seasons and weeks are taken out, and the limits allow for jobs of a day that "
    "share its weather. A crew's start is in the records where its first season there is later than the first one of "
    "all."
)
POOLED_METHOD = "The pooled ratio draws each crew toward the average, the more so the fewer its jobs are."
RATE_METHOD = (
    "A connection-night is one connection lit for one night. Limits of rates are exact Poisson limits (Garwood 1936), "
    "which hold the true rate 95 times in 100 or more. Counts of jobs spread beyond Poisson counts, and limits are "
    "widened for it by one rule: the factor by which they do so over all groups and, for rates of kinds, crews, "
    "surfaces and weeks, in the group itself, whichever is larger, and never less than 1. Pearson's chi-square over "
    "jobs is held against its distribution for Poisson counts of the same totals, which is drawn, since its table does "
    "not hold for jobs that expect less than one failure."
)
DUE_METHOD = (
    "Failures due to a crew or a surface are those that the same kinds of connection had in the same weeks over all "
    "jobs, so that the window is one for all. All that was due is all that failed, so limits of failed / due are those "
    "of the group's share of all failures, with half the chance of the count itself in each tail (mid-P), over the "
    "share that was due."
)
RATIO_METHOD = (
    "Two kinds are compared by the exact conditional test (Przyborowski and Wilenski 1940) over all pairs (Holm 1979): "
    "where all rates were equal, any pair would be called different in one season of twenty at most. Pooled rates come "
    "from one gamma distribution of the kinds' or crews' rates, whose own uncertainty is in their limits (Christiansen "
    "and Morris 1997)."
)
WEEK_METHOD = (
    "Weeks: a u chart with limits of 3 standard deviations for each week's own connection-nights. Which nights a job "
    "was lit is on no record: they are taken as its lit nights from installation on."
)
GAP_METHOD = (
    "A gap costs, over the life of the light line: goods spread over their lives, minutes of making once, and failures "
    "each season. A cut takes a jumper of zip cord with a plug at each end; capping or sealing takes the light line "
    "across the gap and every socket in it. Rates and the cost of a fault are drawn; goods and minutes are as given."
)
GAP_CAUTION = (
    "Cutting a light line and removing its sockets alter a listed product, which can void its listing: only a way that "
    "the maker's label and the local code allow may be used, whatever it costs. What is not yours to do by law belongs "
    "to a licensed electrician, and everything is worked on with the power off."
)
CONNECTION_METHOD = (
    "One more connection of a kind costs its making, by the settings joint_minutes and joint_parts, and its failures: "
    "the rate of the kind times the realized cost of a fault."
)
HOURS_CAUTION = "Hours per foot are not a target for a person on a ladder. Read them to find what slows a crew down."
LADDER_CAUTION = (
    "Ladders: the side rails stand 3 ft above the landing (29 CFR 1926.1053(b)(1)) and the foot a quarter of the "
    "working length out from the wall (29 CFR 1926.1053(b)(5)(i))."
)
FALL_CAUTION = "Falls: at 6 ft or more above a lower level a worker is protected from falling (29 CFR 1926.501(b)(1))."
RATES_CAUTION = (
    "Rates are associations: a kind of connection that fails more often may stand where water, wind or haste do."
)
LISTING_CAUTION = "Altering a listed product, by cutting, splicing or sealing it, can void its listing."
CODE_CAUTION = "The National Electrical Code, the local code and the maker's label come first, before any figure here."

FEED_FIRST = (
    "The maker's label says what one feed may carry and the local code how it is fed; both come before every limit and "
    "list here. Work on the house's own wiring belongs to a licensed electrician."
)
FEED_METHOD = (
    "A feed's load is that of the runs that name it: their feet, their watts and their sockets, those capped or taped "
    "later among them, so that it is the most that it can be. On a limit is inside. A circuit's lights are held to "
    "80 % of its breaker, as a continuous load is (NEC 210.20(A)). A place to split leaves every piece within every "
    "limit, at the end of a run where one ends there."
)
DROP_METHOD = (
    "The voltage lost at the far end is amps x resistance of one conductor (NEC chapter 9, table 8, stranded copper) x "
    "feet: lamps spread evenly load the line as if all hung at half the distance. The runs count as one line; taps "
    "lose less, and the cord between plug and receptacle is not counted."
)
NO_FEEDS = (
    "No run names the feed that it hangs on, so the loads of feeds are not known: a column Feed on the sheet of runs "
    "would tell."
)
CIRCUIT_REST = "What else the house draws on that circuit is not recorded and comes on top."

ORDER_METHOD = (
    "Each item's need is a forecast with its spread. The order is the number of whole packs that costs least on "
    "average when both running short and being left with goods are counted, and that keeps at least the service "
    "floor's chance of having enough. What is left over is charged a year's holding, however long it takes to use up."
)
NEED_METHOD = (
    "Low, middle and high need are the 10th, 50th and 90th percentile of the forecast. New jobs are drawn whole: those "
    "of this season, and those of each season before half as often as of the one after it. A missing unit stops the "
    "feet that a unit of its kind carries on the jobs that have the item. The records do not say why a customer does "
    "not come back (moved, declined by the firm) nor who is bound for several years: all count alike, but a renewal "
    "that is signed or turned down counts as that."
)
SPOOL_METHOD = (
    "Runs are cut behind a socket, so a length between two is rounded up. The best plan for the season's own runs is "
    "found by column generation with whole spools, and no plan can cost less than its bound. For next season the runs "
    "of the drawn new jobs are cut from stock, the order's spools and its top-up: what does not go on them is bought "
    "in a hurry, and the order is the one that costs least with that counted. Stock goes to replacements and the "
    "shortest runs first. A length of 10 ft or more that is left over is stock and no offcut. The whole cut list of "
    "the season's best plan is in the store, decisions.cut_list, and in order.xlsx."
)
SPOOL_TABLE_NOTE = "These are the order's own spools, a line and size at a time, not more."
ORDER_CAUTION = (
    "The forecast knows the past seasons and the settings. A new kind of goods, a lost contract or a price that "
    "changed since the records were kept must be put right by the person who orders."
)

INTAKE_METHOD = (
    "Every row of every sheet is in exactly one place: accepted, rejected, held or set aside. A rejected row cannot "
    "be right as it stands; a held one is sound, but its job was rejected or is unknown, and it follows that job."
)
CONTROL_METHOD = (
    "For each part of cost, what was read in equals what lies on jobs, what was spread, what lies outside and what "
    "was refused, to the cent. A difference stops the run."
)
