-- decisions.cut_list: one row a way of cutting a spool and length of piece.
-- The season's best plan, as the proof of decisions.offcut: its pieces are the runs of new work.
-- columns:
--   season: year in which the season starts
--   item_no: item of the light line
--   spacing_in: socket to socket, in
--   colour: colour of the line
--   cut_no: way of cutting, within the item
--   spools: spools that are cut like this
--   spool_size_ft: feet on the spool
--   length_ft: length of the piece, cut behind a socket, ft
--   sockets: its sockets
--   pieces: such pieces from one spool
--   left_ft: what is left over on one spool, ft

create table if not exists decisions.cut_list (
    season integer not null,
    item_no varchar not null,
    spacing_in decimal(26, 12),
    colour varchar,
    cut_no integer,
    spools integer,
    spool_size_ft decimal(26, 12),
    length_ft decimal(26, 12),
    sockets integer,
    pieces integer,
    left_ft decimal(26, 12)
);
