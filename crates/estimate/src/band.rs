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
    /// The jobs it rests on; none means the customary rates below.
    pub like: Vec<String>,
}

/// Share of a deck that devices cover. *Common practice, no source.*
const FILL_PERCENT: i64 = 60;
/// Leads for each device: one in the run and one that feeds it, and half as many again for stereo and control. *Common
/// practice, no source.*
const LEADS_PER_DEVICE: [u32; 2] = [2, 3];
/// Minutes for each device, all work in: 18 to 30 hours for a board of twelve. *A guess of the trade, no source.*
const MINUTES_PER_DEVICE: [u32; 2] = [90, 150];
/// Jobs with from half to twice as many devices count as like.
const LIKE: u32 = 2;
/// A band never is narrower than this about its middle jobs: one job is no proof. *Common practice, no source.*
const SPREAD: Share = Share::from_percent(10);

/// The band of a job. Each like job counts by what it took per device.
pub fn band(input: &BandInput, like: &[LikeJob], prices: &Prices) -> Band {
    let devices = input.devices.max(1);
    let like: Vec<&LikeJob> = like
        .iter()
        .filter(|job| 0 < job.devices && devices <= job.devices * LIKE && job.devices <= devices * LIKE)
        .collect();
    let per = |value: fn(&LikeJob) -> i64, widen: bool| -> Option<[i64; 2]> {
        let all = like.iter().map(|job| {
            mul_div_rounded(value(job), i128::from(devices), i128::from(job.devices), Rounding::HalfUp)
        });
        let (low, high) = (all.clone().min()?, all.max()?);
        let spread = if widen { SPREAD.millionths() } else { 0 };
        let whole = i128::from(Share::WHOLE);
        let low = mul_div_rounded(low, whole - i128::from(spread), whole, Rounding::HalfUp);
        let high = mul_div_rounded(high, whole + i128::from(spread), whole, Rounding::HalfUp);
        Some([low, high])
    };
    let counts = |pair: [i64; 2]| pair.map(|value| u32::try_from(value).unwrap_or(u32::MAX));
    let leads = per(|job| i64::from(job.leads), false)
        .map_or_else(|| LEADS_PER_DEVICE.map(|each| each.saturating_mul(devices)), counts);
    let minutes = per(|job| i64::from(job.minutes), true)
        .map_or_else(|| MINUTES_PER_DEVICE.map(|each| each.saturating_mul(devices)), counts);
    let net = per(|job| job.net.0, true).map(|pair| pair.map(Money)).or_else(|| {
        let hour = prices.hour?;
        Some(minutes.map(|minutes| Money(mul_div_rounded(hour.0, i128::from(minutes), 60, prices.rounding))))
    });
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
        like: like.iter().map(|job| job.name.clone()).collect(),
    }
}
