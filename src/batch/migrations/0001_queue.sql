-- The queue that several machines share, and the index of the visits in it. The folders stay the store.
create table visit (
  folder text primary key,
  state text not null default 'waiting' check (state in ('waiting', 'hearing', 'drafted', 'failed')),
  facts integer,
  open integer,
  asked_at timestamptz not null default now(),
  drafted_at timestamptz
);

-- Recordings that are in a visit or on their way there.
create table file (
  sha256 text primary key,
  visit text not null references visit on delete cascade,
  path text not null
);

create table job (
  id bigint generated always as identity primary key,
  visit text not null references visit on delete cascade,
  step text not null check (step in ('gather', 'hear', 'draft')),
  note text not null default '',
  -- What is begun comes first: drafts, then notes, then visits.
  rank smallint not null,
  work text not null,
  state text not null default 'waiting' check (state in ('waiting', 'taken', 'done', 'failed')),
  -- Asked for anew while somebody was at it.
  again boolean not null default false,
  taken_by text,
  lease_until timestamptz,
  attempts integer not null default 0,
  -- How often a result was taken; more than once only where it was asked for more than once.
  results integer not null default 0,
  finished_at timestamptz,
  unique (visit, step, note)
);
create index job_next on job (rank, id) where state in ('waiting', 'taken');

create table failure (
  visit text not null,
  file text not null,
  reason text not null,
  cure text not null,
  at timestamptz not null default now(),
  primary key (visit, file)
);
