//! The least-squares engine against certified values.
//!
//! Source: NIST Statistical Reference Datasets (StRD), linear regression, <https://www.itl.nist.gov/div898/strd/>, data
//! sets Norris (J. Norris, NIST, calibration of ozone monitors), Longley (J. W. Longley, JASA 62 (1967) 819–841) and
//! Wampler1 to Wampler5 (R. H. Wampler, JASA 65 (1970) 549–565), with the certified estimates and standard deviations
//! as published there. A number of correct digits is −log10 of the relative error, as NIST counts them.
//!
//! The digits in the tests are what is reached, less one or so. Data with decimals (0.1, 88.5) are rounded to doubles
//! before anything is computed, and the certified values end at 15 digits: both limit what can be reached.

use nalgebra::{DMatrix, DVector};

use stopwright::fit::least_squares::{Refine, Solution, solve};

const NORRIS_Y: [f64; 36] = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9,
    10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4,
    449.2, 0.2,
];
const NORRIS_X: [f64; 36] = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5,
    11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1,
    448.9, 0.5,
];
const NORRIS: [[f64; 2]; 2] = [[-0.262323073774029, 0.232818234301152], [1.00211681802045, 0.429796848199937E-03]];

/// y, then x1 to x6.
const LONGLEY_DATA: [[f64; 7]; 16] = [
    [60323.0, 83.0, 234289.0, 2356.0, 1590.0, 107608.0, 1947.0],
    [61122.0, 88.5, 259426.0, 2325.0, 1456.0, 108632.0, 1948.0],
    [60171.0, 88.2, 258054.0, 3682.0, 1616.0, 109773.0, 1949.0],
    [61187.0, 89.5, 284599.0, 3351.0, 1650.0, 110929.0, 1950.0],
    [63221.0, 96.2, 328975.0, 2099.0, 3099.0, 112075.0, 1951.0],
    [63639.0, 98.1, 346999.0, 1932.0, 3594.0, 113270.0, 1952.0],
    [64989.0, 99.0, 365385.0, 1870.0, 3547.0, 115094.0, 1953.0],
    [63761.0, 100.0, 363112.0, 3578.0, 3350.0, 116219.0, 1954.0],
    [66019.0, 101.2, 397469.0, 2904.0, 3048.0, 117388.0, 1955.0],
    [67857.0, 104.6, 419180.0, 2822.0, 2857.0, 118734.0, 1956.0],
    [68169.0, 108.4, 442769.0, 2936.0, 2798.0, 120445.0, 1957.0],
    [66513.0, 110.8, 444546.0, 4681.0, 2637.0, 121950.0, 1958.0],
    [68655.0, 112.6, 482704.0, 3813.0, 2552.0, 123366.0, 1959.0],
    [69564.0, 114.2, 502601.0, 3931.0, 2514.0, 125368.0, 1960.0],
    [69331.0, 115.7, 518173.0, 4806.0, 2572.0, 127852.0, 1961.0],
    [70551.0, 116.9, 554894.0, 4007.0, 2827.0, 130081.0, 1962.0],
];
const LONGLEY: [[f64; 2]; 7] = [
    [-3482258.63459582, 890420.383607373],
    [15.0618722713733, 84.9149257747669],
    [-0.358191792925910E-01, 0.334910077722432E-01],
    [-2.02022980381683, 0.488399681651699],
    [-1.03322686717359, 0.214274163161675],
    [-0.511041056535807E-01, 0.226073200069370],
    [1829.15146461355, 455.478499142212],
];

/// The Wampler sets share x = 0, 1, … 20 and the model of degree five.
const WAMPLER_Y: [[f64; 21]; 5] = [
    [
        1.0, 6.0, 63.0, 364.0, 1365.0, 3906.0, 9331.0, 19608.0, 37449.0, 66430.0, 111111.0, 177156.0, 271453.0,
        402234.0, 579195.0, 813616.0, 1118481.0, 1508598.0, 2000719.0, 2613660.0, 3368421.0,
    ],
    [
        1.0, 1.11111, 1.24992, 1.42753, 1.65984, 1.96875, 2.38336, 2.94117, 3.68928, 4.68559, 6.0, 7.71561, 9.92992,
        12.75603, 16.32384, 20.78125, 26.29536, 33.05367, 41.26528, 51.16209, 63.0,
    ],
    [
        760.0, -2042.0, 2111.0, -1684.0, 3888.0, 1858.0, 11379.0, 17560.0, 39287.0, 64382.0, 113159.0, 175108.0,
        273291.0, 400186.0, 581243.0, 811568.0, 1121004.0, 1506550.0, 2002767.0, 2611612.0, 3369180.0,
    ],
    [
        75901.0, -204794.0, 204863.0, -204436.0, 253665.0, -200894.0, 214131.0, -185192.0, 221249.0, -138370.0,
        315911.0, -27644.0, 455253.0, 197434.0, 783995.0, 608816.0, 1370781.0, 1303798.0, 2205519.0, 2408860.0,
        3444321.0,
    ],
    [
        7590001.0,
        -20479994.0,
        20480063.0,
        -20479636.0,
        25231365.0,
        -20476094.0,
        20489331.0,
        -20460392.0,
        18417449.0,
        -20413570.0,
        20591111.0,
        -20302844.0,
        18651453.0,
        -20077766.0,
        21059195.0,
        -19666384.0,
        26348481.0,
        -18971402.0,
        22480719.0,
        -17866340.0,
        10958421.0,
    ],
];
/// Certified standard deviations of Wampler4; those of Wampler3 are a hundredth, of Wampler5 a hundredfold, of Wampler1
/// and 2 zero.
const WAMPLER4_SD: [f64; 6] =
    [215232.624678170, 236355.173469681, 77934.3524331583, 10147.5507550350, 564.566512170752, 11.2324854679312];

fn digits(value: f64, certified: f64) -> f64 {
    let error = ((value - certified) / certified).abs();
    if error == 0.0 { 16.0 } else { -error.log10() }
}

/// Fewest correct digits of the estimates as refined, of the estimates of the factorisation alone, and of the standard
/// deviations (where they are not zero).
fn reached(a: &DMatrix<f64>, y: &[f64], certified: &[[f64; 2]]) -> [f64; 3] {
    let s: Solution = solve(a, &DVector::from_column_slice(y), Refine::Fully).unwrap();
    let scatter = (s.residuals.norm_squared() / (a.nrows() - a.ncols()) as f64).sqrt();
    let mut least = [f64::INFINITY; 3];
    for (j, [estimate, deviation]) in certified.iter().enumerate() {
        least[0] = least[0].min(digits(s.x[j], *estimate));
        least[1] = least[1].min(digits(s.unrefined[j], *estimate));
        if *deviation > 0.0 {
            least[2] = least[2].min(digits(scatter * s.covariance[(j, j)].sqrt(), *deviation));
        }
    }
    println!(
        "refined {:.1}, factorisation {:.1}, standard deviations {:.1} digits; {} steps",
        least[0], least[1], least[2], s.steps
    );
    least
}

fn wampler(set: usize) -> [f64; 3] {
    let a = DMatrix::from_fn(21, 6, |i, j| (i as f64).powi(j as i32));
    let estimate = |j: i32| if set == 2 { 10f64.powi(-j) } else { 1.0 };
    let factor = [0.0, 0.0, 0.01, 1.0, 100.0][set - 1];
    let certified: Vec<[f64; 2]> =
        WAMPLER4_SD.iter().enumerate().map(|(j, sd)| [estimate(j as i32), sd * factor]).collect();
    reached(&a, &WAMPLER_Y[set - 1], &certified)
}

#[test]
fn norris() {
    let a = DMatrix::from_fn(36, 2, |i, j| if j == 0 { 1.0 } else { NORRIS_X[i] });
    let [refined, plain, deviations] = reached(&a, &NORRIS_Y, &NORRIS);
    assert!(refined > 13.5 && plain > 12.5 && deviations > 13.0);
}

#[test]
fn longley() {
    let a = DMatrix::from_fn(16, 7, |i, j| if j == 0 { 1.0 } else { LONGLEY_DATA[i][j] });
    let y: Vec<f64> = LONGLEY_DATA.iter().map(|r| r[0]).collect();
    let [refined, plain, deviations] = reached(&a, &y, &LONGLEY);
    assert!(refined > 13.5 && plain > 10.0 && deviations > 12.0);
}

#[test]
fn wampler_1_2_3_with_at_least_nine_digits_from_the_factorisation() {
    for set in 1..=3 {
        let [refined, plain, deviations] = wampler(set);
        assert!(plain > 9.0, "Wampler{set}: {plain}");
        assert!(refined > 13.0, "Wampler{set}: {refined}");
        assert!(deviations > 12.5, "Wampler{set}: {deviations}");
    }
}

/// Here the scatter is up to 10⁷ times the signal, and the factorisation alone loses digits with it.
#[test]
fn wampler_4_5_need_the_refinement() {
    for set in 4..=5 {
        let [refined, plain, deviations] = wampler(set);
        assert!(plain < 10.0, "Wampler{set} needs no refinement: {plain}");
        assert!(refined > 13.0, "Wampler{set}: {refined}");
        assert!(deviations > 12.5, "Wampler{set}: {deviations}");
    }
}

/// The generated sets hang together as published: y = 1 + x + … + x⁵ (Wampler1), that plus a disturbance (Wampler3),
/// a hundred times the disturbance (4), ten thousand times (5); Wampler2 is 1 + x/10 + … + x⁵/10⁵.
#[test]
fn the_wampler_data_are_copied_without_a_slip() {
    (0..21).for_each(|i| {
        let x = i as f64;
        let y = |set: usize| WAMPLER_Y[set - 1][i];
        assert_eq!(y(1), (0..6).map(|k| x.powi(k)).sum::<f64>());
        assert_eq!(y(4) - y(1), 100.0 * (y(3) - y(1)), "x = {i}");
        assert_eq!(y(5) - y(1), 10_000.0 * (y(3) - y(1)), "x = {i}");
        assert!((y(2) - (0..6).map(|k| (x / 10.0).powi(k)).sum::<f64>()).abs() < 1e-12, "x = {i}");
    });
}
