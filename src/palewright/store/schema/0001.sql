-- Jobs, every revision of them, and what came in from the yard. Read by SQLite and by PostgreSQL.

CREATE TABLE jobs (
  id TEXT PRIMARY KEY,
  title TEXT NOT NULL,
  head INTEGER NOT NULL,
  arrived INTEGER NOT NULL,
  filed INTEGER NOT NULL,
  made TEXT NOT NULL,
  changed TEXT NOT NULL,
  gone TEXT NOT NULL
);

-- Six letters of the id tell the folders of jobs apart.
CREATE UNIQUE INDEX jobs_short ON jobs (substr(id, 1, 6));

CREATE TABLE texts (
  digest TEXT PRIMARY KEY,
  text TEXT NOT NULL
);

CREATE TABLE revisions (
  job TEXT NOT NULL REFERENCES jobs (id),
  number INTEGER NOT NULL,
  title TEXT NOT NULL,
  digest TEXT NOT NULL REFERENCES texts (digest),
  made_by TEXT NOT NULL,
  made_at TEXT NOT NULL,
  why TEXT NOT NULL,
  undo_to INTEGER,
  redo_to INTEGER,
  PRIMARY KEY (job, number)
);

CREATE TABLE marks (
  job TEXT NOT NULL,
  name TEXT NOT NULL,
  number INTEGER NOT NULL,
  made_by TEXT NOT NULL,
  made_at TEXT NOT NULL,
  PRIMARY KEY (job, name),
  FOREIGN KEY (job, number) REFERENCES revisions (job, number)
);

-- The first answer to a request, for when the request comes again.
CREATE TABLE answers (
  key TEXT PRIMARY KEY,
  request TEXT NOT NULL,
  answer TEXT NOT NULL,
  made_at TEXT NOT NULL
);

-- A file beside a job: its latest line counts; a digest of '' took it away.
CREATE TABLE files (
  job TEXT NOT NULL REFERENCES jobs (id),
  number INTEGER NOT NULL,
  name TEXT NOT NULL,
  digest TEXT NOT NULL,
  bytes BIGINT NOT NULL,
  made_by TEXT NOT NULL,
  made_at TEXT NOT NULL,
  PRIMARY KEY (job, number)
);

CREATE TABLE entries (
  id TEXT PRIMARY KEY,
  job TEXT NOT NULL REFERENCES jobs (id),
  number INTEGER NOT NULL,
  device TEXT NOT NULL,
  who TEXT NOT NULL,
  seq BIGINT NOT NULL,
  saw INTEGER NOT NULL,
  made TEXT NOT NULL,
  about TEXT NOT NULL,
  what TEXT NOT NULL,
  value TEXT NOT NULL,
  arrived TEXT NOT NULL,
  UNIQUE (job, number)
);

CREATE TABLE photos (
  id TEXT PRIMARY KEY,
  job TEXT NOT NULL REFERENCES jobs (id),
  kind TEXT NOT NULL,
  digest TEXT NOT NULL,
  bytes BIGINT NOT NULL,
  made_by TEXT NOT NULL,
  made_at TEXT NOT NULL
);

CREATE INDEX photos_job ON photos (job);

CREATE TABLE devices (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  role TEXT NOT NULL,
  token TEXT NOT NULL UNIQUE,
  made TEXT NOT NULL,
  seen TEXT NOT NULL,
  ended TEXT NOT NULL
);

CREATE TABLE codes (
  id TEXT PRIMARY KEY,
  salt TEXT NOT NULL,
  hash TEXT NOT NULL,
  typed INTEGER NOT NULL,
  role TEXT NOT NULL,
  made_by TEXT NOT NULL,
  made TEXT NOT NULL,
  until TEXT NOT NULL,
  tries INTEGER NOT NULL,
  used TEXT NOT NULL
);
