-- Where rows go in the accounts: said once, for the models and for the trace that leads back from a figure to its rows.

-- The place of an hours row: labor, service, indirect, outside (other work) or held.
create or replace temp macro hour_account(place, task, job_no, is_service_day) as
case
    when place = 'held' then 'held'
    when task = 'other_work' then 'outside'
    when job_no is null or task in ('shop', 'training', 'weather') then 'indirect'
    when task = 'service' then 'service'
    when task = 'drive' and is_service_day then 'service'
    else 'labor'
end;

-- A quantity in the item's own unit: pack, spool and case are one pack of the item, a dozen is twelve.
create or replace temp macro in_item_units(quantity, unit, pack_size) as
case
    when unit in ('pack', 'spool', 'case') then (quantity * pack_size)::decimal(26, 12)
    when unit = 'dozen' then (quantity * 12)::decimal(26, 12)
    else quantity::decimal(26, 12)
end;

-- What a movement adds to the net use: issued goods count, returned ones are taken off, scrap is a part of the use.
create or replace temp macro net_of_move(moved, quantity) as
case moved when 'issued' then quantity when 'returned' then -quantity else 0 end::decimal(26, 12);

-- What a job counts for where an amount is spread by a basis: hours, feet, revenue or jobs.
create or replace temp macro basis_weight(basis, direct_hours, feet, revenue) as
case basis
    when 'hours' then direct_hours
    when 'feet' then coalesce(feet, 0)
    when 'revenue' then revenue
    else 1
end::decimal(26, 12);
