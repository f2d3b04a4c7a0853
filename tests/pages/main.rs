//! Pages and pictures: those of results and of a batch, and the served page through its port.

mod district_charts;
mod report;
mod serve;
