-- Exact arithmetic on money: division in this database gives floating point, so shares go through whole numbers.
-- Its division of 128-bit whole numbers, which every change of a DECIMAL's scale is too, takes fifty times as long as
-- any other step, and the longer the larger the quotient: so floating point finds most of the quotient, always a little
-- too near 0, and whole numbers divide what is left.

-- A DECIMAL at 12 decimals as a whole number of billionths of a thousandth. Below 2^53 of them floating point holds
-- their number exactly, so whole dollars and what is left of them are taken apart.
create or replace temp macro to_units(x) as
trunc(x::double)::bigint::hugeint * 1000000000000::hugeint
+ round((x - trunc(x::double)::bigint::decimal(18, 0))::double * 1e12)::bigint;

-- The same of less than nine million dollars, which 64 bits hold.
create or replace temp macro to_few_units(x) as
trunc(x::double)::bigint * 1000000000000
+ round((x - trunc(x::double)::bigint::decimal(18, 0))::double * 1e12)::bigint;

-- The whole number back as a DECIMAL. Whole times smallest part has 12 decimals already: nothing is divided again.
create or replace temp macro from_units(n) as
((n)::decimal(38, 0) * 0.000000000001::decimal(13, 12))::decimal(38, 12);

-- A number of dollars in units, cut toward 0 by 2^-46 of it, more than floating point errs; 0 beyond 64 bits.
create or replace temp macro most_units(x) as
coalesce(try_cast(trunc(x * 999999999999.98) as bigint), 0)::hugeint;

-- n / d, of which q is known.
create or replace temp macro finish_quotient(n, d, q) as
from_units(q + (n - q * d) // d);

-- amount x part / whole, exact to 12 decimals; null where the whole is 0.
create or replace temp macro mul_div(amount, part, whole) as
finish_quotient(
    to_units(amount) * to_units(part),
    nullif(to_units(whole), 0),
    most_units(amount::double * part::double / whole::double)
);

-- Whether a DECIMAL has 6 decimals at most, as hours and wages mostly have.
create or replace temp macro is_short(x) as
x = round(x::double * 1e6)::bigint::decimal(18, 0) * 0.000001::decimal(7, 6);

-- a x b rounded to 12 decimals, half away from zero; of two short numbers without dividing.
create or replace temp macro exact_product(a, b) as
case
    when is_short(a) and is_short(b)
        then from_units(round(a::double * 1e6)::bigint::hugeint * round(b::double * 1e6)::bigint)
    else (a::decimal(26, 12) * b::decimal(26, 12))::decimal(38, 12)
end;

-- a x rate rounded to 12 decimals, half away from zero; the rate has 15 decimals at most.
create or replace temp macro by_rate(a, rate) as
finish_quotient(
    to_units(a)
    * (
        trunc(rate::double)::bigint::hugeint * 1000000000000000::hugeint
        + round((rate - trunc(rate::double)::bigint::decimal(18, 0))::double * 1e15)::bigint
    )
    + sign(a) * 500000000000000::hugeint,
    1000000000000000::hugeint,
    most_units(a::double * rate::double)
);

-- Dollars rounded to cents, half away from zero; dust below a billionth of a dollar is dropped first.
create or replace temp macro to_cents(x) as round(round(x::decimal(38, 12), 9), 2)::decimal(18, 2);
