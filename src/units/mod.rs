//! Quantities as people write them, to SI and back.
