"""Which houses are done in a season: those that come back, and new ones; and what is charged for them."""

from __future__ import annotations

import math
from datetime import date, timedelta

from data_demo.make.houses import House, Job, make_house
from data_demo.make.truth import Truth, draws, lognormal_mean_one, next_weekday


def first_season(truth: Truth) -> list[Job]:
    """The first season's jobs, with houses that have been on the books for one to five seasons."""
    season = truth["seasons"][0]
    rng = draws(truth, "first season")
    shares = truth["demand"]["first_season_tenures"]
    jobs = []
    for number in range(1, truth["demand"]["first_season_jobs"] + 1):
        tenure = 1 + int(rng.choice(len(shares), p=shares))
        jobs.append(Job(season, make_house(truth, number, season - tenure + 1), tenure))
    return jobs


def return_chance(truth: Truth, job: Job) -> float:
    """The true chance that a job's house comes back next season."""
    table = truth["demand"][f"return_{job.house.terms}"]
    base = table[min(job.tenure, len(table)) - 1]
    logit = math.log(base / (1 - base)) + truth["demand"]["fault_logit"] * job.faults
    return 1 / (1 + math.exp(-logit))


def next_season(truth: Truth, season: int, before: list[Job], houses_so_far: int) -> list[Job]:
    """The jobs of a later season."""
    rng = draws(truth, "demand", season)
    jobs = [Job(season, job.house, job.tenure + 1) for job in before if rng.random() < return_chance(truth, job)]
    says = truth["demand"]
    mean = says["new_jobs_mean"][str(season)] * lognormal_mean_one(rng, says["new_jobs_spread"])
    for number in range(houses_so_far + 1, houses_so_far + 1 + int(rng.poisson(mean))):
        jobs.append(Job(season, make_house(truth, number, season), 1))
    return jobs


def number_jobs(truth: Truth, season: int, jobs: list[Job]) -> None:
    """Job numbers with gaps (one book for quotes, orders and jobs), and the day each customer would like."""
    rng = draws(truth, "numbers", season)
    order = rng.permutation(len(jobs))
    number = 20_000 + int(rng.integers(100, 900))
    for place in order:
        number += int(rng.integers(40, 320))
        jobs[place].job_no = str(number)
        days = 62 * (float(rng.beta(2.4, 2.2)))
        jobs[place].requested = next_weekday(date(season, 10, 8) + timedelta(days=round(days)))
    jobs.sort(key=lambda job: job.job_no)


def send_crews(truth: Truth, season: int, jobs: list[Job]) -> None:
    """Who goes where: skilled crews are sent to the steep, high houses."""
    rng = draws(truth, "dispatch", season)
    says = truth["dispatch"]
    for job in jobs:
        crews = [crew for crew in truth["crews"] if crew["branch"] == job.house.branch]
        mean_skill = sum(crew["skill"] for crew in crews) / len(crews)
        pull = [
            says["crew_size"][crew["name"]]
            * math.exp(says["steep_pull"] * (mean_skill - crew["skill"]) * job.house.steepness * 0.5)
            for crew in crews
        ]
        chosen = int(rng.choice(len(crews), p=[one / sum(pull) for one in pull]))
        job.crews = ((crews[chosen]["name"], 1.0),)
        others = [crew["name"] for crew in crews if crew is not crews[chosen] and not crew.get("subcontract")]
        joins = rng.random() < says["second_crew_chance"]
        if job.house.feet > says["second_crew_feet"] and joins and not crews[chosen].get("subcontract"):
            job.crews = ((crews[chosen]["name"], 0.6), (others[int(rng.integers(len(others)))], 0.4))


def price_per_ft(truth: Truth, house: House, work: str, season: int, noise: float) -> float:
    """What is asked for a foot: the adders, and a part of the difficulty that no record holds."""
    says = truth["prices"]
    rise = (1 + says["yearly_rise"]) ** (season - truth["seasons"][0])
    price = says["base"][f"{work}_{house.terms}"] + says["story_adder"][str(house.stories)]
    price += says["steep_adder"] * max(0, house.slope - 6) + says["small_job_usd"] / house.feet
    price *= house.hidden ** says["hidden_power"] * noise * rise
    return min(max(price, says["least_per_ft"]), says["most_per_ft"])


def charge(truth: Truth, season: int, jobs: list[Job]) -> None:
    """Quoted and invoiced, in steps of 5 usd; other work apart."""
    rng = draws(truth, "prices", season)
    says = truth["prices"]
    for job in jobs:
        noise = lognormal_mean_one(rng, says["noise_sigma"])
        job.quoted = 5 * round(price_per_ft(truth, job.house, job.work, season, noise) * job.house.feet / 5)
        change = 1 + 0.06 * float(rng.standard_normal()) if rng.random() < says["changed_share"] else 1.0
        job.invoiced = 5 * round(job.quoted * change / 5)
        least, most = (
            5 * math.ceil(says["least_per_ft"] * job.house.feet / 5),
            5 * math.floor(says["most_per_ft"] * job.house.feet / 5),
        )
        job.quoted = min(max(job.quoted, least), most)
        job.invoiced = min(max(job.invoiced, least), most)
        if rng.random() < truth["hours"]["other_work_share"]:
            job.other = 5 * int(rng.integers(24, 180))
