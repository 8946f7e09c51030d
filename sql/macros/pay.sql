-- Yearly bases: a tax is due on a worker's pay of a calendar year until the pay reaches the tax's base.

-- Of the pay that lifts a year's sum from `before` to `until`, what lies under the base; null where there is no base.
create or replace temp macro pay_under_base(before, until, base) as
case
    when base is not null then least(until, base) - least(before, base)
end;
