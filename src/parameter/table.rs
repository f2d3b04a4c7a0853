//! The parameter table. One line states a parameter: its field, its unit, default and range, how it is drawn and for whom, its
//! mark, its source and its meaning.

use super::{Parameter, Scope, Spread};
use crate::source::Mark;

macro_rules! parameters {
    ($($name:ident: $unit:literal, $default:literal in $low:literal..$high:literal, $spread:ident, $scope:ident, $mark:ident, $source:literal, $meaning:literal;)*) => {
        /// One value of every parameter; units as the names say, meanings and sources as in [`TABLE`].
        #[derive(Clone, Debug, PartialEq)]
        pub struct Parameters {
            $(#[doc = concat!($meaning, " (", $unit, "); default ", $default, ", ", $low, " to ", $high, "; ", $source, ".")] pub $name: f64,)*
        }

        impl Default for Parameters {
            fn default() -> Self {
                Self { $($name: $default,)* }
            }
        }

        impl Parameters {
            /// Parameters from a function of each row and its number in [`TABLE`].
            #[must_use]
            pub fn from_rows(mut value: impl FnMut(usize, &'static Parameter) -> f64) -> Self {
                let mut rows = TABLE.iter().enumerate();
                let mut next = || rows.next().map_or(f64::NAN, |(number, row)| value(number, row));
                // Fields are evaluated in the order written, which is the table's.
                Self { $($name: next(),)* }
            }

            /// The value of the parameter of that name.
            #[must_use]
            pub fn get(&self, name: &str) -> Option<f64> {
                match name { $(stringify!($name) => Some(self.$name),)* _ => None }
            }
        }

        /// Meaning, unit, default, range, spread, source and mark of every parameter.
        pub static TABLE: &[Parameter] = &[
            $(Parameter {
                name: stringify!($name), unit: $unit, default: $default, low: $low, high: $high,
                spread: Spread::$spread, scope: Scope::$scope, source: $source, mark: Mark::$mark, meaning: $meaning,
            },)*
        ];
    };
}

#[rustfmt::skip]
parameters! {
    // Cluster: mass, shape and conductances
    bee_mass_kg: "kg", 0.000113 in 0.0001..0.00013, Fixed, Colony, Published,
        "about 4,000 bees a pound, 113 mg a bee; common practice and bee-counting literature",
        "mass of one winter bee";
    core_mass_share: "-", 0.3 in 0.15..0.5, Triangular, Shared, OwnEstimate,
        "share of bees inside the mantle; two-zone idealisation",
        "share of the cluster's mass in the core";
    bee_specific_heat_j_kgk: "J/kgK", 3300.0 in 2800.0..3700.0, Fixed, Shared, FromMemory,
        "insect tissue, near two thirds water",
        "specific heat of the bees";
    tight_density_kg_m3: "kg/m3", 450.0 in 300.0..600.0, Triangular, Shared, OwnEstimate,
        "tight cluster over combs",
        "bees per volume of a tight cluster, combs counted in";
    contraction_ratio: "-", 5.0 in 3.0..8.0, Fixed, Shared, Published,
        "volume falls five-fold between 18 and -10 degC (Canadian federal wintering bulletin, Melathopoulos)",
        "volume of a loose cluster over that of a tight one";
    contraction_start_c: "degC", 18.0 in 14.0..21.0, Fixed, Shared, Published,
        "clusters begin below about 18 degC (the same bulletin)",
        "temperature at which a cluster begins to draw together";
    contraction_full_c: "degC", -10.0 in -18.0..-5.0, Fixed, Shared, Published,
        "clusters are tight at -10 degC (the same bulletin)",
        "temperature at which it is tight";
    contraction_nest_share: "-", 0.5 in 0.0..1.0, Uniform, Shared, OwnEstimate,
        "measured against the outside air (Severson & Erickson 1990), while bees feel the air in their nest: anything between",
        "share of the air in the nest, and not of that outside, in the temperature that contraction answers to";
    mantle_warm_c: "degC", 11.0 in 10.0..14.0, Fixed, Shared, OwnEstimate,
        "a little above the mantle of a cluster in the cold, about 10 degC (Seeley 2019): packed bees that are warmer would warm without end, as their resting heat rises faster than they lose",
        "mantle temperature above which bees loosen, however cold the air";
    mantle_loose_c: "degC", 25.0 in 18.0..30.0, Fixed, Shared, OwnEstimate,
        "bees do not cluster in air above about 18 degC (Canadian federal wintering bulletin, Melathopoulos), and their mantle is warmer than that",
        "mantle temperature at which they are as loose as they get";
    tightening_time_s: "s", 3600.0 in 600.0..14400.0, Fixed, Shared, OwnEstimate,
        "bees take of the order of an hour to draw together or spread",
        "time constant of the cluster's tightness";
    brood_density_cut: "-", 0.4 in 0.0..0.6, Fixed, Shared, OwnEstimate,
        "bees over brood cannot enter the cells they warm",
        "share by which a tight cluster is less dense round a full brood nest";
    cluster_conductivity_w_mk: "W/mK", 0.093 in 0.05..0.15, LogTriangular, Shared, OwnEstimate,
        "dense fur and trapped air; between still air and wet tissue",
        "conductivity between core and mantle of a tight cluster";
    core_shape_factor: "-", 1.7 in 1.2..2.5, Fixed, Shared, OwnEstimate,
        "concentric shells, mid-core to mid-mantle",
        "factor on 4 pi k R for the path from core to mantle";
    loose_core_gain: "-", 0.5 in -0.5..2.0, Triangular, Shared, OwnEstimate,
        "air moves through a loose cluster; against that, denser bees conduct better (Mitchell 2023, J R Soc Interface 20:20230488): either sign",
        "a loose cluster leads 1 + this times as well as a tight one from core to mantle";
    core_vent_start_c: "degC", 35.0 in 33.0..37.0, Fixed, Shared, OwnEstimate,
        "brood nest 33-36 degC (Stabentheiner 2010); no core is published much above",
        "core temperature at which bees open the cluster to let heat out, however cold the mantle";
    core_vent_full_c: "degC", 38.0 in 36.0..40.0, Fixed, Shared, OwnEstimate,
        "as above",
        "core temperature at which it is fully open";
    core_vent_gain: "-", 8.0 in 6.0..20.0, Fixed, Shared, OwnEstimate,
        "enough to hold the core below 40 degC in every draw",
        "an open core leads 1 + this times as well to the mantle";
    tight_film_w_m2k: "W/m2K", 2.9 in 1.8..5.0, LogTriangular, Shared, OwnEstimate,
        "tightest published 0.10 W/kgK; whole-cluster estimates to about 0.2 W/kgK, one of 0.57",
        "film from the mantle of a tight cluster of 1.2 kg to the air round it; combs and still air shelter the shell";
    loose_film_w_m2k: "W/m2K", 6.5 in 4.0..9.0, Triangular, Shared, OwnEstimate,
        "between the shelter of combs and a bare sphere",
        "the same of a loose cluster of 1.2 kg";
    film_mass_exponent: "-", 0.13 in 0.0..0.3, Triangular, Shared, OwnEstimate,
        "larger clusters conduct less for their mass (Southwick 1985), in part because more combs shelter them",
        "power of the mass with which both films fall";
    bare_film_w_m2k: "W/m2K", 8.5 in 7.5..9.5, Fixed, Shared, Published,
        "free convection of a sphere (Churchill 1983: 3.3 to 4.2 W/m2K for 0.1 to 0.3 m at 5 to 15 K) and black radiation (4.4 to 5.1 W/m2K)",
        "film of a bare sphere: no cluster loses more for its surface";
    // Metabolism
    resting_w_kg: "W/kg", 2.6 in 1.2..3.6, Triangular, Shared, OwnEstimate,
        "held against Southwick 1985 and Norrstrom 2021",
        "resting heat at 10 degC";
    resting_q10: "-", 1.35 in 1.1..1.6, Triangular, Shared, OwnEstimate,
        "rise of resting heat in clustered bees; with more than 1.6 a large colony in a warm hive would rest cold or warm by how the winter began",
        "factor on resting heat for each 10 K";
    heating_max_w_kg: "W/kg", 45.0 in 30.0..80.0, Fixed, Shared, OwnEstimate,
        "shivering thorax muscle, mean over the bees of a zone",
        "most heat that bees add by shivering";
    heating_band_k: "K", 3.0 in 1.5..6.0, Triangular, Shared, OwnEstimate,
        "bees answer at different temperatures",
        "band round the set point over which heating comes on";
    core_set_c: "degC", 19.0 in 15.0..25.0, Triangular, Shared, Published,
        "broodless core 21 degC on average, 12 to 33.5 (Seeley 2019); heating comes on below and the core rests above",
        "set point of a broodless core";
    brood_set_c: "degC", 34.5 in 33.0..36.0, Fixed, Shared, Published,
        "brood nest 33-36 degC (Stabentheiner 2010)",
        "set point of a core full of brood";
    mantle_set_c: "degC", 9.0 in 7.0..11.0, Triangular, Shared, Published,
        "mantle about 10 degC (Seeley 2019); chill coma 6-10 degC (Free & Spencer-Booth 1960)",
        "set point of the mantle";
    honey_heat_j_kg: "J/kg", 12800000.0 in 12500000.0..13000000.0, Fixed, Shared, FromMemory,
        "USDA food tables: honey 304 kcal a 100 g, 12.7 MJ/kg",
        "heat of a kilogram of honey";
    honey_water_kg_kg: "kg/kg", 0.67 in 0.6..0.75, Fixed, Shared, Published,
        "water of combustion of its sugars and its own 17 %; computed",
        "water that leaves for each kilogram of honey burnt";
    vaporisation_j_kg: "J/kg", 2450000.0 in 2400000.0..2500000.0, Fixed, Shared, Published,
        "latent heat of water at 20 degC (ASHRAE Fundamentals)",
        "heat that each kilogram of that water takes with it";
    fusion_j_kg: "J/kg", 333600.0 in 333000.0..334000.0, Fixed, Shared, FromMemory,
        "heat of fusion of water at 0 degC (CRC Handbook)",
        "heat that each kilogram of water frees as it freezes";
    // Air in the hive
    zone_exchange_w_k: "W/K", 1.0 in 0.5..2.0, LogTriangular, Shared, OwnEstimate,
        "plume return flow and conduction along combs",
        "exchange between upper and lower air";
    column_exchange_w_k: "W/K", 1.0 in 0.3..3.0, LogTriangular, Shared, OwnEstimate,
        "flow between seams; half to all of the step from nest bottom to top lies between the column and the rest (Seeley 2019)",
        "exchange between the air over a tight cluster and the rest of the upper air; it grows with the cluster's section";
    column_wind_share: "-", 0.1 in 0.0..0.4, Triangular, Shared, OwnEstimate,
        "wind through an open floor reaches the seams",
        "share of the air that enters below that adds to it";
    zone_exchange_share: "-", 0.3 in 0.0..1.0, Triangular, Shared, OwnEstimate,
        "air that enters below stirs the seams",
        "share of the air that enters below that adds to it";
    fanning_w_k: "W/K", 12.0 in 4.0..30.0, Fixed, Shared, OwnEstimate,
        "bees disperse and fan",
        "most that bees vent to the outside";
    fanning_start_c: "degC", 18.0 in 16.0..22.0, Fixed, Shared, OwnEstimate,
        "as above",
        "upper air at which they begin";
    fanning_full_c: "degC", 22.0 in 20.0..30.0, Fixed, Shared, OwnEstimate,
        "as above",
        "upper air at which all do";
    comb_film_w_k: "W/K", 4.0 in 1.0..12.0, Fixed, Shared, OwnEstimate,
        "comb faces above the cluster with a weak film; matters for swings only",
        "conductance between the upper air and combs with stores";
    air_stir_j_k: "J/K", 500.0 in 50.0..2000.0, Fixed, Shared, OwnEstimate,
        "air of a zone with the thin comb edges and frames that follow it at once",
        "heat capacity of each air zone";
    wax_kg_box: "kg", 1.5 in 0.5..3.0, Fixed, Colony, CommonPractice,
        "ten drawn combs and their frames' wood in wax equivalents",
        "wax and frames a box";
    frame_kg_m2: "kg/m2", 4.0 in 3.0..6.0, Triangular, Colony, OwnEstimate,
        "a deep frame of 0.11 m2 with drawn comb weighs 0.45 kg (from memory, 0.35 to 0.7 with the age of the comb)",
        "mass of a frame with empty comb for the area of the box seen from its side; for weights only";
    wax_specific_heat_j_kgk: "J/kgK", 2200.0 in 2000.0..2500.0, Fixed, Shared, FromMemory,
        "beeswax 2,000-2,500 J/kgK",
        "specific heat of wax and frames";
    honey_specific_heat_j_kgk: "J/kgK", 2300.0 in 2200.0..2400.0, Fixed, Shared, FromMemory,
        "honey 2,200-2,400 J/kgK",
        "specific heat of honey";
    // Water in the hive
    start_humidity: "-", 0.65 in 0.4..0.85, Fixed, Colony, OwnEstimate,
        "wood and filling stored under a roof in autumn hold 12-15 % of water",
        "relative humidity with which all layers are in balance at the start of winter";
    lid_drip_kg_m2: "kg/m2", 0.1 in 0.03..0.3, LogTriangular, Shared, OwnEstimate,
        "drops grow to a few millimetres before they fall from a level surface",
        "condensate that a lid holds before it drips";
    wall_runoff_kg_m2: "kg/m2", 0.2 in 0.05..0.4, Fixed, Shared, FromMemory,
        "ISO 13788: run-off from upright surfaces above about 0.2",
        "condensate that a wall holds before it runs";
    floor_pool_kg_m2: "kg/m2", 0.5 in 0.0..3.0, Fixed, Shared, OwnEstimate,
        "hives stand tilted to the entrance",
        "water that a floor without mesh holds before it runs out";
    filling_limit_kg_kg: "kg/kg", 0.25 in 0.15..0.6, Fixed, Shared, OwnEstimate,
        "near fibre saturation (0.29); a filling this damp feels damp and is changed; common practice changes damp shavings in winter",
        "water a kilogram of dry filling at which it should be changed";
    // Openings and wind
    discharge: "-", 0.61 in 0.5..0.8, Fixed, Shared, FromMemory,
        "sharp-edged orifice",
        "discharge coefficient of an opening";
    airing_turbulence: "-", 0.01 in 0.005..0.02, Fixed, Shared, FromMemory,
        "EN 15242 / EN 16798-7, single-sided airing",
        "turbulence term of two-way exchange";
    airing_wind: "s2/m2", 0.001 in 0.0005..0.002, Fixed, Shared, FromMemory,
        "EN 15242 / EN 16798-7, single-sided airing",
        "wind term of two-way exchange";
    airing_stack: "1/mK", 0.0035 in 0.002..0.005, Fixed, Shared, FromMemory,
        "EN 15242 / EN 16798-7, single-sided airing",
        "stack term of two-way exchange";
    vent_pressure_difference: "-", 0.2 in 0.0..0.8, Triangular, Shared, OwnEstimate,
        "openings on one face or in the lee see little difference",
        "difference of pressure coefficient between lower and upper opening, driving air upward";
    joint_gap_m: "m", 0.00005 in 0.00001..0.0002, LogTriangular, Colony, OwnEstimate,
        "between caulked frames and weather-stripped sashes of buildings (from memory, AIVC Technical Note 44, 0.03 to 0.2 l/s a metre at 1 Pa)",
        "gap of a sharp-edged slot that leaks as much as propolised joints between boxes, lid and floor; tight and loose ones a fixed multiple of it";
    roughness_m: "m", 0.03 in 0.005..0.5, Fixed, Shared, FromMemory,
        "open grass land; WMO-No. 8, Davenport-Wieringa class 3",
        "roughness length of the ground round the hive";
    station_height_m: "m", 10.0 in 2.0..20.0, Fixed, Shared, Published,
        "WMO height of wind measurement",
        "height of the station's wind";
    hive_height_m: "m", 0.5 in 0.2..1.5, Fixed, Shared, OwnEstimate,
        "middle of the hive body",
        "height of the hive's middle";
    shelter_scale: "-", 1.0 in 0.6..1.6, LogTriangular, Shared, OwnEstimate,
        "uncertainty of the shelter factor",
        "factor on the site's shelter factor";
    snow_bank_m2k_w: "m2K/W", 1.0 in 0.3..2.0, LogTriangular, Shared, OwnEstimate,
        "0.2 m of settled to old snow at 0.12 to 0.23 W/mK; its own heat, melting and cold sink of the ground left out",
        "resistance of snow banked against a side, to the outside air";
    stand_height_m: "m", 0.2 in 0.0..0.8, Fixed, Shared, OwnEstimate,
        "two bricks to a low bench",
        "height of the hive's floor above the ground, for snow as deep as the weather file says";
    loose_fill_scale: "-", 1.0 in 0.75..1.5, Triangular, Shared, OwnEstimate,
        "wood shavings 0.06-0.12 W/mK round 0.08 (Granum 1951 and other tables); sawdust and straw taken alike",
        "factor on the conductivity of loose fillings";
    // Colony
    mortality_per_day: "1/d", 0.004 in 0.003..0.006, Triangular, Colony, CommonPractice,
        "0.3-0.6 % of winter bees a day",
        "share of the winter bees that die each day";
    reared_life_days: "d", 45.0 in 30.0..60.0, Triangular, Colony, FromMemory,
        "35 d for bees of March, 28 to 32 d for those of summer (Fukuda & Sekiguchi 1966, Sapporo); common practice 40 to 60 d in spring",
        "mean life of bees reared in winter that nurse without rest";
    reared_life_shape: "-", 3.0 in 1.0..5.0, Fixed, Shared, OwnEstimate,
        "few die young, most round the mean, as in published curves of survival",
        "shape of the Weibull spread of those lives; 1 is a hazard that age does not change";
    rest_ageing: "-", 0.3 in 0.2..0.7, Fixed, Shared, OwnEstimate,
        "45 d become 150 d: 154 d for bees of September (Fukuda & Sekiguchi 1966, from memory), which have no brood to rear",
        "pace at which such bees age at rest, as a share of that of full nursing";
    cold_wear: "-", 0.5 in 0.0..1.5, Triangular, Shared, OwnEstimate,
        "hard-worked bees age faster",
        "extra mortality of all bees, as a share, on days of full heating work";
    cold_wear_start_w_kg: "W/kg", 5.0 in 3.0..8.0, Fixed, Shared, OwnEstimate,
        "above resting heat",
        "heat a kilogram of bees at which that wear begins";
    cold_wear_full_w_kg: "W/kg", 12.0 in 8.0..30.0, Fixed, Shared, OwnEstimate,
        "long deep cold in a thin hive",
        "heat a kilogram of bees at which it is whole";
    brood_start_day: "d", 100.0 in -25.0..100.0, Fixed, Colony, CommonPractice,
        "all colonies breed by early April",
        "day of the year on which laying begins at the latest (1 January is 1); where a scenario sets it, laying begins on it, unless the scenario sets brood_start_per_day too";
    brood_earliest_day: "d", -25.0 in -60.0..10.0, Fixed, Shared, OwnEstimate,
        "broodless from November to December: laying ends in autumn and begins anew about the solstice",
        "day of the year before which laying does not begin anew";
    brood_start_per_day: "1/d", 0.008 in 0.003..0.03, LogTriangular, Shared, OwnEstimate,
        "half of colonies begin by 10 January where the air of late is near 5 degC (common practice); driven mainly by temperature (Nurnberger 2018; Owens 1971)",
        "share of colonies that begin to lay on a day with 0 degC of late and 9 h of daylight";
    brood_start_scale_k: "K", 5.0 in 2.5..15.0, LogTriangular, Shared, OwnEstimate,
        "insulated colonies begin a few days earlier (Owens 1971)",
        "rise of the air of late by which that share grows e-fold";
    brood_start_nest_share: "-", 0.5 in 0.0..1.0, Uniform, Shared, OwnEstimate,
        "bees feel their nest, and the outside when they fly",
        "share of the air in the nest, and not of that outside, in the air of late";
    brood_start_per_h: "1/h", 0.3 in 0.0..0.6, Triangular, Shared, OwnEstimate,
        "day length acts on brood rearing (Kefuss 1978, from memory); alone it had no effect in the cold (Nurnberger 2018)",
        "rise of the logarithm of that share with an hour more of daylight";
    brood_start_rank: "-", 0.5 in 0.02..0.98, Uniform, Colony, OwnEstimate,
        "queens differ",
        "share of colonies under the same air that begin to lay before this one";
    brood_start_memory_days: "d", 10.0 in 3.0..30.0, Fixed, Shared, OwnEstimate,
        "a day or two of warmth start no brood",
        "days after which a day's weight in the air of late has fallen to about a third";
    brood_peak_day: "d", 105.0 in 90.0..130.0, Fixed, Shared, CommonPractice,
        "mid April",
        "day of the year on which laying peaks";
    peak_eggs_per_day: "1/d", 800.0 in 600.0..1000.0, Triangular, Colony, FromMemory,
        "600-1,000 eggs a day by mid April",
        "eggs a day at that peak";
    brood_per_bee: "-", 0.35 in 0.25..0.45, Triangular, Shared, OwnEstimate,
        "winter bees nurse, feed and warm few cells each",
        "most brood cells for each bee in mild air";
    brood_cold_per_k: "1/K", 0.02 in 0.0..0.05, Triangular, Shared, OwnEstimate,
        "brood stops in a cold February",
        "share by which that falls for each kelvin of the nest's air of late below 10 degC, to a tenth at most";
    brood_memory_days: "d", 15.0 in 10.0..20.0, Fixed, Shared, OwnEstimate,
        "bees answer to weeks of cold, not to days",
        "days after which a day's weight in that air has fallen to about a third";
    brood_ball_share: "-", 0.5 in 0.35..0.7, Triangular, Shared, OwnEstimate,
        "a brood nest is covered by bees on all sides",
        "most of the ball's volume that brood fills: with more brood the ball is stretched over it";
    brood_cells_m3: "1/m3", 2300000.0 in 1800000.0..2600000.0, Fixed, Shared, FromMemory,
        "4 worker cells a cm2 on both faces of comb on a 35 mm pitch",
        "brood cells in a cubic metre of brood nest";
    brood_honey_kg: "kg", 0.00014 in 0.0001..0.0002, Fixed, Shared, FromMemory,
        "Rosov 1944; the pollen beside it, 0.13 g, is no part of the stores",
        "honey eaten to rear one worker";
    brood_cell_kg: "kg", 0.0001 in 0.00008..0.00014, Fixed, Shared, FromMemory,
        "grown larva 0.16 g, pupa 0.12-0.14 g, eggs and young larvae next to nothing; mean over 21 days",
        "mass of brood in a cell; for weights only";
    brood_stores_kg: "kg", 3.0 in 0.0..6.0, Fixed, Shared, OwnEstimate,
        "colonies short of honey rear little brood",
        "stores below which laying falls, to nothing at none";
    flight_air_c: "degC", 12.0 in 9.0..14.0, Fixed, Shared, CommonPractice,
        "bees fly in numbers above about 12 degC",
        "outside air at which bees fly by day, out of the sun";
    flight_sun_k: "K", 4.0 in 0.0..8.0, Fixed, Shared, FromMemory,
        "bees warm themselves at the entrance in the sun before they fly",
        "fall of that limit in a sun of 1000 W/m2 on the hive's brightest face, in proportion to it";
    flight_wind_m_s: "m/s", 6.0 in 3.0..12.0, Fixed, Shared, FromMemory,
        "few bees fly in wind above 6 to 9 m/s",
        "wind at the hive above which bees stay in";
    flight_share: "-", 0.5 in 0.0..1.5, Fixed, Shared, OwnEstimate,
        "flight and housework on warm days",
        "extra honey in flight hours as a share of the honey for heat";
    move_air_c: "degC", 7.0 in 4.0..10.0, Triangular, Colony, OwnEstimate,
        "assumption: bees cross to other seams when the air over the cluster is this warm",
        "air over the cluster at which it can move to other seams, and down";
    climb_air_c: "degC", -6.0 in -15.0..7.0, Triangular, Colony, OwnEstimate,
        "assumption: a cluster follows its honey up its own combs in all but the deepest cold; with -21 degC outside the air beside a cluster was -1 degC (Seeley 2019)",
        "air beside the cluster at which it can creep up its own seams";
    move_hours: "h", 3.0 in 1.0..12.0, Fixed, Shared, OwnEstimate,
        "assumption",
        "hours of either needed";
    comb_honey_kg_m2: "kg/m2", 24.0 in 18.0..30.0, Fixed, Colony, CommonPractice,
        "a full deep frame of 0.11 m2 holds 2.7 kg (6 lb)",
        "honey in a full comb for its area seen from the side; says where honey stands";
    crop_reserve_days: "d", 2.0 in 1.0..4.0, Fixed, Shared, OwnEstimate,
        "full crops and shared food",
        "days that bees live when no stores are in reach";
    chill_mantle_c: "degC", 6.0 in 4.0..10.0, Fixed, Shared, Published,
        "Free & Spencer-Booth 1960: chill coma 6-10 degC",
        "mantle temperature below which bees are chilled";
    chill_hours: "h", 50.0 in 24.0..80.0, Fixed, Shared, Published,
        "Free & Spencer-Booth 1960: most die after 50 h",
        "hours of it that kill";
    fewest_bees: "1", 2000.0 in 500.0..4000.0, Fixed, Colony, CommonPractice,
        "fewer cannot keep a core warm",
        "bees below which a colony is lost";
    // Feeding
    sugar_stores_kg_kg: "kg/kg", 1.206 in 1.1..1.3, Fixed, Shared, Published,
        "honey holds 17.1 % of water (USDA food tables, from memory); the rest sugars, whose inversion adds 5 % at most and is left out",
        "stores that a kilogram of sugar makes before the loss of taking it in";
    feed_loss: "-", 0.1 in 0.03..0.25, Triangular, Shared, OwnEstimate,
        "with it a kilogram of sugar makes about 1.1 kg of stores, as practice counts; carrying, inverting and ripening it burns the rest",
        "share of feed that bees use for taking it in";
    fondant_sugar_share: "-", 0.88 in 0.8..0.95, Fixed, Shared, CommonPractice,
        "baker's fondant holds 8 to 14 % of water",
        "sugar in fondant and candy";
    syrup_air_c: "degC", 10.0 in 5.0..15.0, Fixed, Shared, CommonPractice,
        "provincial advice: no syrup below 10 degC",
        "outside air from which bees take syrup";
    syrup_uptake_per_h: "1/h", 0.06 in 0.02..0.2, LogTriangular, Colony, OwnEstimate,
        "15,000 bees then take near a kilogram of stores in a day of ten warm hours",
        "stores that a kilogram of bees takes in from syrup in such an hour, with the loss";
    // Confinement
    cleansing_air_c: "degC", 9.0 in 5.0..12.0, Fixed, Shared, FromMemory,
        "bees void on mild winter days when few forage; practice names 5 to 10 degC in the sun",
        "outside air at which bees fly out to void by day, out of the sun; sun and wind act as on flight";
    cleansing_hours: "h", 1.0 in 1.0..6.0, Fixed, Shared, OwnEstimate,
        "most bees that need to fly do so within the warmest hour",
        "such hours that make a cleansing day";
    gut_residue_kg_kg: "kg/kg", 0.05 in 0.02..0.1, LogTriangular, Shared, OwnEstimate,
        "between common practice, by which bees outdoors stand two to four months of confinement and indoors five to six; a little above 1 % of ash, pollen husks and wax with three times as much water",
        "faeces, with their water, for each kilogram of honey that bees eat for themselves";
    gut_brood_residue_kg_kg: "kg/kg", 0.2 in 0.05..0.8, LogTriangular, Shared, OwnEstimate,
        "0.13 g of pollen goes with 0.14 g of honey for a worker; a quarter of it undigested, with three times as much water, would be 0.8, more than colonies that breed in confinement show",
        "faeces of nurses, with their water, for each kilogram of honey fed to brood";
    gut_limit_share: "-", 0.33 in 0.25..0.45, Triangular, Shared, FromMemory,
        "a third of body mass by common teaching; Nitschmann 1957 found rectums of up to some 45 mg in winter",
        "faeces that a bee can hold, as a share of its mass; beyond it dysentery is likely";
}
