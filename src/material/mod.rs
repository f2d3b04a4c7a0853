//! The table of building and hive materials, with their sources.
//!
//! ```
//! use overwinter::material::{self, Catalogue, Material};
//!
//! let softwood = material::find("softwood")?;
//! assert_eq!(softwood.conductivity_w_mk, 0.13);
//! assert!(material::find("softwod").unwrap_err().to_string().contains("'softwood'"));
//!
//! // A scenario may add its own materials to those of the table.
//! let hemp = Material::defined("hemp-mat", 0.042, 40.0, 1_700.0, Some(2.0))?;
//! let catalogue = Catalogue::with(vec![hemp])?;
//! assert_eq!(catalogue.find("hemp-mat")?.density_kg_m3, 40.0);
//! # Ok::<(), overwinter::material::MaterialError>(())
//! ```

mod catalogue;
mod error;
mod properties;
pub mod sorption;
mod table;

pub use catalogue::{Catalogue, find};
pub use error::MaterialError;
pub use properties::{
    CONDUCTIVITY_LIMITS_W_MK, DENSITY_LIMITS_KG_M3, Material, SPECIFIC_HEAT_LIMITS_J_KGK,
    VAPOUR_FACTOR_LIMITS,
};
pub use table::table;
