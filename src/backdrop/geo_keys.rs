//! The geo keys of a GeoTIFF (OGC GeoTIFF Standard 1.1, 19-008r4): in which reference system its coordinates are.

use super::crs::Crs;

const MODEL_TYPE: u16 = 1024;
const RASTER_TYPE: u16 = 1025;
const GEODETIC_CRS: u16 = 2048;
const GEODETIC_DATUM: u16 = 2050;
const ANGULAR_UNITS: u16 = 2054;
const PROJECTED_CRS: u16 = 3072;
const PROJECTION: u16 = 3074;
const METHOD: u16 = 3075;
const LINEAR_UNITS: u16 = 3076;
/// Stands for a system of the file's own making.
const USER_DEFINED: u16 = 32_767;
/// The tag of numbers that keys point at (`GeoDoubleParamsTag`).
const DOUBLES: u16 = 34_736;
/// Unit codes of EPSG: degree and metre.
const DEGREE: u16 = 9102;
const METRE: u16 = 9001;

/// A parameter of PROJ and the keys that may hold it, with what stands where there is none.
type Parameter = (&'static str, &'static [u16], f64);

/// Methods of projection (19-008r4, Annex on `ProjMethodGeoKey`; numbers of methods and keys from memory, held against
/// files of another program by `tests/backdrop/`): code, the same in PROJ, its parameters.
const METHODS: [(u16, &str, &[Parameter]); 4] = [
    (
        1,
        "tmerc",
        &[
            ("lat_0", &[3081], 0.0),
            ("lon_0", &[3080], 0.0),
            ("k", &[3092], 1.0),
            ("x_0", &[3082], 0.0),
            ("y_0", &[3083], 0.0),
        ],
    ),
    (
        8,
        "lcc",
        &[
            ("lat_1", &[3078], 0.0),
            ("lat_2", &[3079], 0.0),
            ("lat_0", &[3085, 3081], 0.0),
            ("lon_0", &[3084, 3080], 0.0),
            ("x_0", &[3086, 3082], 0.0),
            ("y_0", &[3087, 3083], 0.0),
        ],
    ),
    (
        10,
        "laea",
        &[
            ("lat_0", &[3089], 0.0),
            ("lon_0", &[3088], 0.0),
            ("x_0", &[3082], 0.0),
            ("y_0", &[3083], 0.0),
        ],
    ),
    (
        11,
        "aea",
        &[
            ("lat_1", &[3078], 0.0),
            ("lat_2", &[3079], 0.0),
            ("lat_0", &[3081, 3085], 0.0),
            ("lon_0", &[3080, 3084], 0.0),
            ("x_0", &[3082], 0.0),
            ("y_0", &[3083], 0.0),
        ],
    ),
];

/// The keys of a file: number, where the value stands, how many, value; and the numbers they point at.
pub(super) struct GeoKeys {
    keys: Vec<[u16; 4]>,
    doubles: Vec<f64>,
}

impl GeoKeys {
    pub(super) fn of(directory: &[u16], doubles: Vec<f64>) -> Self {
        let keys = directory.get(4..).unwrap_or_default().chunks_exact(4);
        Self {
            keys: keys.map(|key| [key[0], key[1], key[2], key[3]]).collect(),
            doubles,
        }
    }

    /// A key whose value stands in the directory itself, as numbers of one word do.
    fn short(&self, number: u16) -> Option<u16> {
        let key = self
            .keys
            .iter()
            .find(|key| key[0] == number && key[1] == 0)?;
        Some(key[3])
    }

    fn double(&self, number: u16) -> Option<f64> {
        let key = self
            .keys
            .iter()
            .find(|key| key[0] == number && key[1] == DOUBLES)?;
        self.doubles.get(usize::from(key[3])).copied()
    }

    /// Whether a pixel is said to be a point, so that coordinates are those of its middle.
    ///
    /// # Errors
    /// Says so, where it is neither a point nor an area.
    pub(super) fn is_point(&self) -> Result<bool, String> {
        match self.short(RASTER_TYPE) {
            // An area where nothing is said.
            Some(1) | None => Ok(false),
            Some(2) => Ok(true),
            Some(other) => Err(format!("the raster is of the unknown type {other}")),
        }
    }

    /// The reference system; `None` where none is told.
    ///
    /// # Errors
    /// Says why it does not serve.
    pub(super) fn crs(&self) -> Result<Option<Crs>, String> {
        match (
            self.short(MODEL_TYPE),
            self.short(PROJECTED_CRS),
            self.short(GEODETIC_CRS),
        ) {
            (Some(1) | None, Some(USER_DEFINED), _) | (Some(1), None, _) => {
                self.projected().map(Some)
            }
            (Some(1) | None, Some(code), _) => Crs::epsg(u32::from(code)).map(Some),
            (Some(2), _, Some(code)) | (None, None, Some(code)) => self.geographic(code).map(Some),
            (None, None, None) => Ok(None),
            _ => {
                Err("the file is not on a map projection nor in latitude and longitude".to_owned())
            }
        }
    }

    fn geographic(&self, code: u16) -> Result<Crs, String> {
        if let Some(unit) = self.short(ANGULAR_UNITS).filter(|unit| *unit != DEGREE) {
            return Err(format!(
                "its angles are in other units than degrees (EPSG {unit})"
            ));
        }
        if code != USER_DEFINED {
            return Crs::epsg(u32::from(code));
        }
        self.ellipsoid()?;
        Crs::epsg(4326)
    }

    /// A projection with its parameters in the keys.
    fn projected(&self) -> Result<Crs, String> {
        let name = "a projection of the file's own";
        let ellipsoid = self.ellipsoid()?;
        if let Some(unit) = self.short(LINEAR_UNITS).filter(|unit| *unit != METRE) {
            return Err(format!(
                "its lengths are in other units than metres (EPSG {unit})"
            ));
        }
        let definition = match (self.short(PROJECTION), self.short(METHOD)) {
            (Some(code @ 16_001..=16_060), _) => {
                format!("+proj=utm +zone={}", code - 16_000)
            }
            (Some(code @ 16_101..=16_160), _) => {
                format!("+proj=utm +zone={} +south", code - 16_100)
            }
            (_, Some(method)) => {
                let Some((_, proj, parameters)) = METHODS.iter().find(|(code, ..)| *code == method)
                else {
                    return Err(format!(
                        "it is on a projection of its own that is not read here (method {method})"
                    ));
                };
                let parameters = parameters.iter().map(|(parameter, keys, default)| {
                    let value = keys.iter().find_map(|key| self.double(*key));
                    format!(" +{parameter}={}", value.unwrap_or(*default))
                });
                format!("+proj={proj}{}", parameters.collect::<String>())
            }
            _ => return Err("the file does not tell its projection".to_owned()),
        };
        Crs::defined(
            name.to_owned(),
            &format!("{definition} {ellipsoid} +units=m"),
        )
    }

    /// The ellipsoid of a system that the file itself defines, if it lies as WGS 84 does.
    fn ellipsoid(&self) -> Result<&'static str, String> {
        let code = self
            .short(GEODETIC_CRS)
            .filter(|code| *code != USER_DEFINED);
        match (code, self.short(GEODETIC_DATUM)) {
            // WGS 84; as a datum too.
            (Some(4326), _) | (None, Some(6326)) => Ok("+datum=WGS84"),
            // ETRS89, NAD83.
            (Some(4258 | 4269), _) | (None, Some(6258 | 6269)) => Ok("+ellps=GRS80"),
            (Some(code), _) => Err(format!(
                "its reference system rests on EPSG {code}, not on WGS 84"
            )),
            (None, Some(datum)) => Err(format!(
                "its reference system rests on the datum {datum}, not on WGS 84"
            )),
            (None, None) => Err("the file does not tell on which datum it rests".to_owned()),
        }
    }
}
