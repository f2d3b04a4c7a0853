//! What a row measures, with the conditions that were assumed as numbers.

use serde::{Deserialize, Serialize};

/// A quantity of the model that a measurement is held against.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Measure {
    /// Heat per mass in air that is the same all round, W/kg.
    ChamberHeat(At),
    /// Power of the mass in that, between two masses.
    ChamberExponent(Between),
    /// Heat over mass and core less air, W/kgK.
    ChamberConductance(At),
    /// How the logarithm of the heat changes from 5 to 10 degC in such a chamber, 1/K: nothing where the least is half way.
    LeastUse {
        /// Bees, kg.
        kg: f64,
    },
    /// Share by which the cluster is smaller in colder air outside its hive.
    Contraction {
        /// Of which of its sizes.
        of: OfCluster,
        /// Bees, kg.
        kg: f64,
        /// From the air round the cluster to the outside, W/K.
        loss_w_k: f64,
        /// Warmer air, degC.
        from_c: f64,
        /// Colder air, degC.
        until_c: f64,
    },
    /// Core in a hive of that conductance, degC.
    Core(OutsideOf),
    /// Mantle in a hive of that conductance, degC.
    Mantle(OutsideOf),
    /// Heat with brood at 10 degC less twice that at 20 degC and with that at 30 degC, over the first: nothing where it rises in proportion to cooling.
    BroodCooling {
        /// Bees, kg.
        kg: f64,
        /// Cells of brood.
        cells: f64,
    },
    /// A temperature or share of temperatures in a whole hive at rest in still air.
    Nest {
        /// Which.
        of: OfNest,
        /// Bees, kg.
        kg: f64,
        /// Outside air, degC.
        outside_c: f64,
        /// The hive, as a scenario has it.
        hive: String,
    },
    /// Honey used a day, g/d, the mean of hives.
    Use {
        /// The run.
        run: String,
        /// Its hives.
        hives: Vec<String>,
        /// First day.
        from: String,
        /// Day after the last.
        until: String,
    },
    /// Honey used in all, kg.
    Loss {
        /// The run.
        run: String,
        /// Its hive.
        hive: String,
        /// First day.
        from: String,
        /// Day after the last.
        until: String,
    },
    /// Honey used in one span over that used in another.
    UseRatio {
        /// The run.
        run: String,
        /// Its hive.
        hive: String,
        /// First day and day after the last.
        of: [String; 2],
        /// The same of the other span.
        over: [String; 2],
    },
    /// Honey that one hive uses less than another, kg.
    Saving {
        /// The run.
        run: String,
        /// The hive that saves.
        hive: String,
        /// The other.
        than: String,
        /// First day.
        from: String,
        /// Day after the last.
        until: String,
    },
    /// Days by which brood begins earlier in one hive than in another.
    BroodEarlier {
        /// The run.
        run: String,
        /// The hive in which it does.
        hive: String,
        /// The other.
        than: String,
    },
}

/// A broodless cluster in air that is the same all round.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct At {
    /// Bees, kg.
    pub kg: f64,
    /// Air, degC.
    pub air_c: f64,
}

/// Two such clusters.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Between {
    /// Bees, kg.
    pub kg: [f64; 2],
    /// Air, degC.
    pub air_c: f64,
}

/// A broodless cluster in a hive of one conductance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutsideOf {
    /// Bees, kg.
    pub kg: f64,
    /// From the air round the cluster to the outside, W/K.
    pub loss_w_k: f64,
    /// Outside air, degC.
    pub outside_c: f64,
}

/// Sizes of a cluster.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OfCluster {
    /// Its volume.
    Volume,
    /// Its surface.
    Surface,
}

/// What is taken of a hive at rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OfNest {
    /// Air right beside the cluster, degC.
    Beside,
    /// Air at the bottom, degC.
    Bottom,
    /// Share of the drop from core to outside that wall and outer film take.
    WallShare,
}

/// Masses of clusters that a row may assume, kg.
const KG: (f64, f64) = (0.005, 10.0);
/// Air that a row may assume, degC.
const AIR_C: (f64, f64) = (-60.0, 45.0);
/// Conductances of hives, W/K.
const LOSS_W_K: (f64, f64) = (0.05, 20.0);

impl Measure {
    /// Each number that was assumed with its name and range.
    pub(super) fn assumed(&self) -> Vec<(&'static str, f64, (f64, f64))> {
        let kg = |kg| ("kg", kg, KG);
        let air = |name, c| (name, c, AIR_C);
        match self {
            Self::ChamberHeat(at) | Self::ChamberConductance(at) => {
                vec![kg(at.kg), air("air_c", at.air_c)]
            }
            Self::ChamberExponent(at) => vec![kg(at.kg[0]), kg(at.kg[1]), air("air_c", at.air_c)],
            Self::LeastUse { kg: mass } => vec![kg(*mass)],
            Self::Contraction {
                kg: mass,
                loss_w_k,
                from_c,
                until_c,
                ..
            } => vec![
                kg(*mass),
                ("loss_w_k", *loss_w_k, LOSS_W_K),
                air("from_c", *from_c),
                air("until_c", *until_c),
            ],
            Self::Core(at) | Self::Mantle(at) => vec![
                kg(at.kg),
                ("loss_w_k", at.loss_w_k, LOSS_W_K),
                air("outside_c", at.outside_c),
            ],
            Self::BroodCooling { kg: mass, cells } => {
                vec![kg(*mass), ("cells", *cells, (0.0, 60_000.0))]
            }
            Self::Nest {
                kg: mass,
                outside_c,
                ..
            } => vec![kg(*mass), air("outside_c", *outside_c)],
            _ => Vec::new(),
        }
    }

    /// The run and its hives that a row of a winter is of; none of others.
    pub(super) fn run(&self) -> Option<(&str, Vec<&str>)> {
        match self {
            Self::Use { run, hives, .. } => Some((run, hives.iter().map(String::as_str).collect())),
            Self::Loss { run, hive, .. } | Self::UseRatio { run, hive, .. } => {
                Some((run, vec![hive]))
            }
            Self::Saving {
                run, hive, than, ..
            }
            | Self::BroodEarlier { run, hive, than } => Some((run, vec![hive, than])),
            _ => None,
        }
    }

    /// Spans of days that it is of.
    pub(super) fn spans(&self) -> Vec<(&str, &str)> {
        match self {
            Self::Use { from, until, .. }
            | Self::Loss { from, until, .. }
            | Self::Saving { from, until, .. } => vec![(from, until)],
            Self::UseRatio { of, over, .. } => vec![(&of[0], &of[1]), (&over[0], &over[1])],
            _ => Vec::new(),
        }
    }

    /// Whether it asks for hours to be stepped, and not only for a cluster at rest.
    #[must_use]
    pub fn is_slow(&self) -> bool {
        self.run().is_some() || matches!(self, Self::Nest { .. })
    }
}
