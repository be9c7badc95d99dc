//! Gear from a photo: pictures come in, points are proposed and dragged, lengths come out.

use std::sync::{Arc, PoisonError};

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use photo::{Above, Before, Face, Length, Paper, Picture, Quad, Refusal as Unfit, Sheet, View};
use pictures::{KEPT, Taken};
use serde::Deserialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::off::off;
use crate::bench::Bench;
use crate::error::Refusal;

fn lock(bench: &Bench) -> std::sync::MutexGuard<'_, crate::photos::Photos> {
    // What it guards is whole after every statement.
    bench.photos.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Takes a picture in: the body is the file.
pub(crate) async fn take(State(bench): State<Arc<Bench>>, body: Bytes) -> Result<Response, Refusal> {
    off(move || {
        let id: String = Sha256::digest(&body)
            .iter()
            .take(8)
            .fold(String::new(), |out, byte| out + &format!("{byte:02x}"));
        let held = lock(&bench).get(&id);
        let taken = match held {
            Some(taken) => taken,
            None => Arc::new(
                pictures::read(&body)
                    .map_err(|why| Refusal::senseless(why.to_string()).told_as_data(true))?,
            ),
        };
        let size = json!({ "id": id, "width": taken.picture.width(), "height": taken.picture.height() });
        lock(&bench).hold(&id, taken);
        Ok(Json(size).into_response())
    })
    .await
}

fn held(bench: &Bench, id: &str) -> Result<Arc<Taken>, Refusal> {
    lock(bench).get(id).ok_or_else(|| {
        Refusal::new(StatusCode::GONE, "this picture is not held any more: choose it again")
            .told_as_data(true)
    })
}

/// A picture as it is shown: smaller, and without what its file says of place and time.
pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    Path((_, id)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let taken = held(&bench, &id)?;
        let bytes =
            pictures::jpeg(&taken.picture, KEPT).map_err(|why| Refusal::senseless(why.to_string()))?;
        // Its name is made of what is in it.
        let headers =
            [(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, "private, max-age=3600")];
        Ok((headers, bytes).into_response())
    })
    .await
}

/// Millimetres about the sheet that its squared picture shows, and dots to a millimetre.
const AROUND: f64 = 30.0;
const DOTS: f64 = 3.0;

/// The picture from above made square, as its sheet was found last.
pub(crate) async fn squared(
    State(bench): State<Arc<Bench>>,
    Path((_, id)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let taken = held(&bench, &id)?;
        let sheet = lock(&bench).last_sheet(&id);
        let flat = sheet.and_then(|sheet| photo::squared(&taken.picture, &sheet, AROUND, DOTS));
        let flat = flat.ok_or_else(|| Refusal::missing("no sheet was found in this picture"))?;
        let bytes = pictures::jpeg(&flat, KEPT).map_err(|why| Refusal::senseless(why.to_string()))?;
        Ok(([(header::CONTENT_TYPE, "image/jpeg")], bytes).into_response())
    })
    .await
}

/// A picture with the points on it, as the page knows them; what is left out is looked for.
#[derive(Deserialize)]
struct Seen {
    id: String,
    face: Option<String>,
    /// Corners of the sheet that were dragged.
    corners: Option<Quad>,
    /// The top edge, or the face.
    points: Option<Quad>,
    /// Whether those points were dragged.
    #[serde(default)]
    by_hand: bool,
    jacks: Option<Vec<[f64; 2]>>,
    /// Whether those points were proposed, and not surely.
    #[serde(default)]
    unsure: bool,
}

/// What is to be measured.
#[derive(Deserialize)]
pub(crate) struct Asked {
    paper: String,
    above: Seen,
    #[serde(default)]
    sides: Vec<Seen>,
    /// A height that was typed, in mm.
    height: Option<f64>,
}

fn face_of(word: &str) -> Option<Face> {
    [Face::Front, Face::Right, Face::Back, Face::Left].into_iter().find(|face| face.word() == word)
}

fn unfit(view: &str, why: &Unfit) -> Value {
    json!({ "view": view, "why": why.word(), "refused": why.to_string(), "remedy": why.remedy() })
}

fn sheet_of(bench: &Bench, seen: &Seen, paper: Paper, view: View) -> Result<Result<Sheet, Unfit>, Refusal> {
    if let Some(sheet) = lock(bench).sheet(&seen.id, paper, view, seen.corners) {
        return Ok(Ok(sheet));
    }
    let taken = held(bench, &seen.id)?;
    let found = photo::find_sheet(&taken.picture, paper, view, seen.corners, taken.focal_35);
    if let Ok(sheet) = &found {
        lock(bench).found(&seen.id, paper, view, seen.corners, sheet);
    }
    Ok(found)
}

fn length(length: Length) -> Value {
    let tenth = |v: f64| (v * 10.0).round() / 10.0;
    json!({ "mm": tenth(length.mm), "within": tenth(length.within + 0.05), "sure": length.is_sure() })
}

/// Lengths from pictures and points.
pub(crate) async fn measure(
    State(bench): State<Arc<Bench>>,
    Json(asked): Json<Asked>,
) -> Result<Response, Refusal> {
    off(move || answer(&bench, &asked).map(|answer| Json(answer).into_response())).await
}

fn answer(bench: &Bench, asked: &Asked) -> Result<Value, Refusal> {
    let paper = if asked.paper == "letter" { Paper::Letter } else { Paper::A4 };
    let mut unfits = Vec::new();
    let above = match sheet_of(bench, &asked.above, paper, View::Above)? {
        Ok(sheet) => sheet,
        Err(why) => return Ok(json!({ "unfit": [unfit("above", &why)] })),
    };
    let mut sides = Vec::new();
    for side in asked.sides.iter().take(4) {
        let word = side.face.as_deref().unwrap_or_default();
        let Some(face) = face_of(word) else { continue };
        match sheet_of(bench, side, paper, View::Side)? {
            Ok(sheet) => sides.push((face, side, sheet)),
            Err(why) => unfits.push(unfit(word, &why)),
        }
    }
    let top = held(bench, &asked.above.id)?;
    let is_wanting = asked.above.points.is_none() || sides.iter().any(|(_, side, _)| side.points.is_none());
    // What is left out is looked for in all pictures together.
    let device = if is_wanting {
        let pictures =
            sides.iter().map(|(_, side, _)| held(bench, &side.id)).collect::<Result<Vec<_>, _>>()?;
        let views: Vec<(Face, &Picture, &Sheet)> = sides
            .iter()
            .zip(&pictures)
            .map(|((face, _, sheet), taken)| (*face, &taken.picture, sheet))
            .collect();
        Some(photo::find_device(&top.picture, &above, &views, asked.height))
    } else {
        None
    };
    let mut unsure = asked.above.unsure
        || asked.sides.iter().any(|side| side.unsure)
        || device.as_ref().is_some_and(|device| !device.is_sure());
    let outline = asked.above.points.or_else(|| device.as_ref().and_then(|device| device.outline));
    let mut before = Vec::new();
    for (k, (face, side, sheet)) in sides.into_iter().enumerate() {
        let found = device.as_ref().and_then(|device| device.sides.get(k)?.clone());
        let (points, jacks) = match (side.points, found) {
            (Some(points), _) => (Some(points), side.jacks.clone().unwrap_or_default()),
            (None, Some(found)) => (Some(found.face), side.jacks.clone().unwrap_or(found.jacks)),
            (None, None) => (None, Vec::new()),
        };
        let Some(corners) = points else {
            unfits.push(json!({
                "view": face.word(),
                "refused": "the face was not found",
                "remedy": "drag its four corners into place",
                "corners": sheet.corners,
            }));
            continue;
        };
        before.push(Before { face, sheet, corners, jacks, by_hand: side.by_hand });
    }
    unsure &= !(asked.above.by_hand && before.iter().all(|side| side.by_hand));
    let camera = &above.camera;
    let mut said = json!({
        "unfit": unfits,
        "tilt": camera.tilt().round(),
        "camera": camera.height().round(),
        "off": (above.off * 10.0).round() / 10.0,
        "bend": (camera.bend() * 1000.0).round() / 10.0,
        "above": { "corners": above.corners, "points": outline },
        "sides": before
            .iter()
            .map(|side| json!({
                "face": side.face.word(),
                "corners": side.sheet.corners,
                "points": side.corners,
                "jacks": side.jacks,
            }))
            .collect::<Vec<_>>(),
    });
    let Some(outline) = outline else { return Ok(said) };
    let above = Above { sheet: above, outline, by_hand: asked.above.by_hand };
    let found = photo::measure(&above, &before, asked.height);
    let found = if unsure { found.unsure() } else { found };
    said["unsure"] = json!(unsure);
    let apart = photo::contradiction(&above, &before);
    said["width"] = length(found.width);
    said["depth"] = length(found.depth);
    said["height"] = found.height.map_or(Value::Null, length);
    said["jacks"] = found
        .jacks
        .iter()
        .map(|jack| json!({ "face": jack.face.word(), "along": length(jack.along), "high": length(jack.high) }))
        .collect();
    let height = found.height.map_or(0.0, |height| height.mm);
    lock(bench).measured(&asked.above.id, above.clone(), height);
    let flat = |z: f64| outline.map(|p| above.sheet.camera.on_level(p, z)).map(|[x, y, _]| [x, y]);
    let stands = above.sheet.camera.position();
    said["flat"] = json!({
        "sheet": above.sheet.size,
        "around": AROUND,
        "rim": flat(0.0),
        "brought": flat(height),
        "below": [stands[0], stands[1]],
    });
    said["apart"] = json!(if photo::MOST_APART < apart { Some(apart.round()) } else { None });
    Ok(said)
}

/// Millimetres about a device that its picture for papers shows, and dots to a millimetre.
const ABOUT: f64 = 4.0;
const FINE: f64 = 5.0;

/// The pictures that a kind was measured by, as they are kept, and the device alone, made square, for papers.
pub(super) fn kept<'a>(
    bench: &Bench,
    named: impl Iterator<Item = (&'a str, &'a str)>,
) -> Result<Vec<(&'a str, Vec<u8>)>, Refusal> {
    let mut out = Vec::new();
    let mut put = |name: &'a str, picture: &Picture| {
        let bytes = pictures::jpeg(picture, KEPT).map_err(|why| Refusal::senseless(why.to_string()))?;
        out.push((name, bytes));
        Ok::<(), Refusal>(())
    };
    for (name, id) in named {
        let taken = held(bench, id)?;
        put(name, &taken.picture)?;
        if name == "above"
            && let Some((above, height)) = lock(bench).top(id)
            && let Some(alone) = photo::portrait(&taken.picture, &above, height, ABOUT, FINE)
        {
            put(store::PORTRAIT, &alone)?;
        }
    }
    Ok(out)
}
