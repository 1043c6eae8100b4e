CREATE TRIGGER entries_never_change BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'entries are append-only: write a correction or a withdrawal instead'); END;

CREATE TRIGGER entries_never_go BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'entries are append-only: write a correction or a withdrawal instead'); END;

CREATE TABLE alembic_version (
  version_num VARCHAR(32) NOT NULL,
  CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);

CREATE TABLE boxes (
  hive VARCHAR(80) NOT NULL,
  level INTEGER NOT NULL,
  frame VARCHAR(80) NOT NULL,
  frames INTEGER NOT NULL,
  PRIMARY KEY (hive, level),
  FOREIGN KEY(hive) REFERENCES hives (id)
);

CREATE TABLE counters (
  name VARCHAR(40) NOT NULL,
  value INTEGER NOT NULL,
  PRIMARY KEY (name)
);

CREATE TABLE entries (
  id VARCHAR(36) NOT NULL,
  kind VARCHAR(40) NOT NULL,
  yard VARCHAR(80) NOT NULL,
  hive VARCHAR(80),
  at_utc VARCHAR(32) NOT NULL,
  at_offset_s INTEGER NOT NULL,
  who TEXT NOT NULL,
  device TEXT NOT NULL,
  units VARCHAR(10) NOT NULL,
  values_json TEXT NOT NULL,
  supersedes VARCHAR(36),
  note TEXT NOT NULL,
  recorded_utc VARCHAR(32),
  about VARCHAR(36),
  PRIMARY KEY (id),
  FOREIGN KEY(yard) REFERENCES yards (id),
  FOREIGN KEY(hive) REFERENCES hives (id)
);

CREATE TABLE hives (
  id VARCHAR(80) NOT NULL,
  yard VARCHAR(80) NOT NULL,
  name VARCHAR(200) NOT NULL,
  note TEXT NOT NULL,
  PRIMARY KEY (id),
  FOREIGN KEY(yard) REFERENCES yards (id)
);

CREATE TABLE settings (
  name VARCHAR(120) NOT NULL,
  value_json TEXT NOT NULL,
  PRIMARY KEY (name)
);

CREATE TABLE standing (
  entry VARCHAR(36) NOT NULL,
  state VARCHAR(12) NOT NULL,
  PRIMARY KEY (entry),
  FOREIGN KEY(entry) REFERENCES entries (id)
);

CREATE TABLE yards (
  id VARCHAR(80) NOT NULL,
  name VARCHAR(200) NOT NULL,
  latitude FLOAT NOT NULL,
  longitude FLOAT NOT NULL,
  timezone VARCHAR(80) NOT NULL,
  elevation_m FLOAT NOT NULL,
  beetles VARCHAR(20) NOT NULL,
  beetles_reportable VARCHAR(20) NOT NULL,
  note TEXT NOT NULL,
  PRIMARY KEY (id)
);

CREATE INDEX entries_by_about ON entries (about);

CREATE INDEX entries_by_hive ON entries (hive, at_utc);

CREATE INDEX entries_by_supersedes ON entries (supersedes);

CREATE INDEX entries_by_yard_kind ON entries (yard, kind, at_utc);

CREATE INDEX hives_by_yard ON hives (yard);
