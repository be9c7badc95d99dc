//! A price band before anything is drawn: from how many devices there are, and from jobs like it.

use quantity::Share;

use crate::{Money, Prices, Rounding, mul_div_rounded};

/// What is known on the phone.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BandInput {
    /// Devices that the client brings.
    pub devices: u32,
    /// All their footprints together, square millimetres; zero where no size is known.
    pub footprint_mm2: i64,
    /// How many of them the footprint counts.
    pub sized: u32,
}

/// A job of the shop that was drawn to the end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LikeJob {
    /// Its folder.
    pub name: String,
    /// Devices that its client brought.
    pub devices: u32,
    /// Leads in it.
    pub leads: u32,
    /// Minutes of work.
    pub minutes: u32,
    /// Without tax and discount.
    pub net: Money,
}

/// The band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Band {
    /// Deck area, square millimetres: footprints over a fill of 0.60 (common practice, no source).
    pub area_mm2: i64,
    /// Leads, least and most.
    pub leads: [u32; 2],
    /// Minutes, least and most.
    pub minutes: [u32; 2],
    /// Without tax, least and most; `None` where the shop has no like job and no rate.
    pub net: Option<[Money; 2]>,
    /// Whether none of these is like it, so that other jobs of the shop stand in.
    pub far: bool,
    /// The jobs it rests on; none means the customary rates below.
    pub like: Vec<String>,
}

/// Share of a deck that devices cover. *Common practice, no source.*
const FILL_PERCENT: i64 = 60;
/// Leads of any board, and for each device: one in the run and one that feeds it, and half as many again for stereo and
/// control. *Common practice, no source.*
const LEADS: [u32; 2] = [0, 4];
const LEADS_PER_DEVICE: [u32; 2] = [2, 3];
/// Minutes of any board, however small: review, photographs, tests, papers, lesson; the most with what is assumed measured
/// and lengths checked by string. The sums of this program's own acts that do not count devices.
const MINUTES: [u32; 2] = [360, 480];
/// Minutes for each device beyond these, its leads in. Our seven examples and jobs of three and four devices take 76 to 152:
/// the fewer devices, the more each. *A guess of the trade, no source.*
const MINUTES_PER_DEVICE: [u32; 2] = [70, 120];
/// Jobs with from half to twice as many devices count as like.
const LIKE: u32 = 2;
/// A band never is narrower than this about its middle jobs: one job is no proof. *Common practice, no source.*
const SPREAD: Share = Share::from_percent(10);

/// The same about a single job. *Common practice, no source.*
const SPREAD_ONE: Share = Share::from_percent(20);
/// The part of what a job costs beyond its work that any board takes: board, case, supply. *A guess of the trade, no source.*
const FIXED_PARTS: i64 = 2;
/// The same where no job is like it and others of the shop stand in. *Common practice, no source.*
const SPREAD_FAR: Share = Share::from_percent(30);

/// What a job took, carried over to another number of devices: what any board takes stays, the rest goes by the device.
fn carried(value: i64, fixed: i64, devices: u32, of: u32) -> i64 {
    let fixed = fixed.min(value);
    let rest = mul_div_rounded(value - fixed, i128::from(devices), i128::from(of), Rounding::HalfUp);
    fixed.saturating_add(rest)
}

/// The band of a job. Each like job counts by what it took, carried over to so many devices; where none is like it, the
/// shop's other jobs stand in with a wider band.
pub fn band(input: &BandInput, all: &[LikeJob], prices: &Prices) -> Band {
    let devices = input.devices.max(1);
    let drawn = || all.iter().filter(|job| 0 < job.devices);
    let mut like: Vec<&LikeJob> =
        drawn().filter(|job| devices <= job.devices * LIKE && job.devices <= devices * LIKE).collect();
    let far = like.is_empty();
    if far {
        like = drawn().collect();
    }
    let spread = match (far, like.len()) {
        (true, _) => SPREAD_FAR,
        (false, 1) => SPREAD_ONE,
        (false, _) => SPREAD,
    };
    // What each took, and what of it any board takes.
    let per = |value: &dyn Fn(&LikeJob) -> (i64, i64), spread: Share| -> Option<[i64; 2]> {
        let all = like.iter().map(|job| {
            let (value, fixed) = value(job);
            carried(value, fixed, devices, job.devices)
        });
        let (low, high) = (all.clone().min()?, all.max()?);
        let whole = i128::from(Share::WHOLE);
        let spread = i128::from(spread.millionths());
        let low = mul_div_rounded(low, whole - spread, whole, Rounding::HalfUp);
        let high = mul_div_rounded(high, whole + spread, whole, Rounding::HalfUp);
        Some([low, high])
    };
    let counts = |pair: [i64; 2]| pair.map(|value| u32::try_from(value).unwrap_or(u32::MAX));
    let custom = |fixed: [u32; 2], each: [u32; 2]| {
        [0, 1].map(|at| fixed[at].saturating_add(each[at].saturating_mul(devices)))
    };
    let worth =
        |hour: Money, minutes: u32| Money(mul_div_rounded(hour.0, i128::from(minutes), 60, prices.rounding));
    let leads = per(&|job| (i64::from(job.leads), 0), Share::ZERO)
        .map_or_else(|| custom(LEADS, LEADS_PER_DEVICE), counts);
    let minutes = per(&|job| (i64::from(job.minutes), i64::from(MINUTES[0])), spread)
        .map_or_else(|| custom(MINUTES, MINUTES_PER_DEVICE), counts);
    let work = |minutes| prices.hour.map_or(0, |hour| worth(hour, minutes).0);
    let net = |job: &LikeJob| {
        let parts = (job.net.0 - work(job.minutes)).max(0);
        (job.net.0, work(MINUTES[0]).saturating_add(parts / FIXED_PARTS))
    };
    let net = per(&net, spread)
        .map(|pair| pair.map(Money))
        .or_else(|| prices.hour.map(|hour| minutes.map(|minutes| worth(hour, minutes))));
    let footprint = match input.sized {
        0 => 0,
        sized => {
            mul_div_rounded(input.footprint_mm2, i128::from(devices), i128::from(sized), Rounding::HalfUp)
        }
    };
    Band {
        area_mm2: mul_div_rounded(footprint, 100, i128::from(FILL_PERCENT), Rounding::HalfUp),
        leads,
        minutes,
        net,
        far: far && !like.is_empty(),
        like: like.iter().map(|job| job.name.clone()).collect(),
    }
}
