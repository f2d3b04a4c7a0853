//! The table of building and hive materials, with their sources.
