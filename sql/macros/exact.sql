-- Exact arithmetic on money: division in this database gives floating point, so shares go through whole numbers.

-- A DECIMAL at 12 decimals as a whole number of billionths of a thousandth. Below a thousand that number is under 2^53,
-- so that floating point holds it exactly, in a fourth of the time.
create or replace temp macro to_units(x) as
case
    when x between -1000 and 1000 then round(x::double * 1e12)::bigint::hugeint
    else (x::decimal(38, 12) * 1000000000000::decimal(13, 0))::hugeint
end;

-- The whole number back as a DECIMAL. Whole times smallest part has 12 decimals already: nothing is divided again.
create or replace temp macro from_units(n) as
((n)::decimal(38, 0) * 0.000000000001::decimal(13, 12))::decimal(38, 12);

-- amount x part / whole, exact to 12 decimals; null where the whole is 0.
create or replace temp macro mul_div(amount, part, whole) as
case
    when whole <> 0 then from_units((to_units(amount) * to_units(part)) // to_units(whole))
end;

-- Dollars rounded to cents, half away from zero; dust below a billionth of a dollar is dropped first.
create or replace temp macro to_cents(x) as round(round(x::decimal(38, 12), 9), 2)::decimal(18, 2);
