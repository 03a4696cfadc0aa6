-- How each visit stood when a worker looked at its folder last, so that nobody has to go there to tell.
alter table visit drop constraint visit_state_check;
alter table visit add constraint visit_state_check
  check (state in ('waiting', 'hearing', 'drafted', 'failed', 'found'));
alter table visit
  -- Whether there is a folder.
  add column there boolean not null default false,
  add column property text not null default '',
  add column inspector text not null default '',
  add column date date,
  add column drafted boolean not null default false,
  add column signed boolean not null default false,
  add column unconfirmed integer not null default 0,
  add column doubtful integer not null default 0,
  add column disputed integer not null default 0,
  add column risk double precision not null default 0,
  -- Why it cannot be listed, and why its figures cannot be counted.
  add column problem text,
  add column unread text,
  add column notes integer not null default 0,
  add column length_ms bigint not null default 0,
  -- Seconds from each recording to its words.
  add column waits_s bigint[] not null default '{}',
  -- Sizes and times of the files that this was read from.
  add column stamp text not null default '',
  add column looked_at timestamptz;

-- What each visit says of each term, and what people decided of it.
create table term (
  visit text not null references visit on delete cascade,
  term text not null,
  notes integer not null,
  heard integer not null,
  confirmed integer not null,
  amended integer not null,
  rejected integer not null,
  entered integer not null,
  primary key (visit, term)
);
