#include <nlohmann/json.hpp>

#include "mendtone/report/write.hpp"
#include "report/methods.hpp"

namespace mendtone::report {
namespace {

using Json = nlohmann::ordered_json;

Json array_of(const Lab& lab) {
  return Json::array({lab.L, lab.a, lab.b});
}

void put(Json& to, const char* key, const std::string& value) {
  if (!value.empty()) to[key] = value;
}
template <class T>
void put(Json& to, const char* key, const std::optional<T>& value) {
  if (value) to[key] = *value;
}
template <class T>
void put(Json& to, const char* key, const std::vector<T>& values) {
  if (!values.empty()) to[key] = values;
}

Json json_of(const Tone& tone) {
  Json json{{"lab", array_of(tone.lab)}, {"light", tone.light}, {"observer", tone.observer_deg}};
  if (tone.screen) {
    json["srgb"] = {tone.screen->r, tone.screen->g, tone.screen->b};
    json["out_of_gamut"] = tone.screen->outside;
  }
  return json;
}

void put(Json& to, const char* key, const std::optional<Tone>& tone) {
  if (tone) to[key] = json_of(*tone);
}

Json json_of(const Reading& r) {
  Json json{{"spot", r.spot}, {"stage", r.stage}, {"tone", json_of(r.tone)}};
  if (r.n > 0) json["n"] = r.n;
  put(json, "spread_de00", r.spread_de00);
  if (r.region)
    json["region_95"] = {{"L_half", r.region->L_half},
                         {"ab_major", r.region->ab_major},
                         {"ab_minor", r.region->ab_minor},
                         {"ab_angle_deg", r.region->ab_angle_deg},
                         {"basis", r.region->basis}};
  put(json, "wavelengths_nm", r.curve.nm);
  put(json, "reflectance", r.curve.mean);
  put(json, "reflectance_low", r.curve.low);
  put(json, "reflectance_high", r.curve.high);
  put(json, "instrument", r.instrument);
  put(json, "geometry", r.geometry);
  put(json, "condition", r.condition);
  put(json, "backing", r.backing);
  put(json, "state", r.state);
  put(json, "taken", r.taken);
  put(json, "operator", r.operator_name);
  put(json, "warnings", r.warnings);
  return json;
}

Json json_of(const Difference& d) {
  Json json{{"spot", d.spot},   {"from", d.from_stage},       {"to", d.to_stage},
            {"light", d.light}, {"observer", d.observer_deg}, {"de00", d.de00}};
  put(json, "low", d.low);
  put(json, "high", d.high);
  put(json, "u95", d.u95);
  put(json, "de_ab", d.de_ab);
  put(json, "dL", d.dL);
  put(json, "da", d.da);
  put(json, "db", d.db);
  put(json, "dC", d.dC);
  put(json, "dH", d.dH);
  put(json, "tolerance", d.tolerance);
  put(json, "tolerance_origin", d.tolerance_origin);
  put(json, "verdict", d.verdict);
  put(json, "more_readings", d.more_readings);
  put(json, "grey_rating", d.grey_rating);
  put(json, "metamerism_de00", d.metamerism_de00);
  put(json, "warnings", d.warnings);
  return json;
}

void put_lights(Json& to, const std::vector<UnderLight>& by_light) {
  for (const UnderLight& u : by_light)
    to["by_light"][u.light] = {
        {"lab", array_of(u.lab)}, {"de00", u.de00}, {"dL", u.dL}, {"da", u.da}, {"db", u.db}};
}

Json json_of(const std::vector<Fact>& facts) {
  Json json = Json::object();
  for (const Fact& fact : facts) json[fact.name] = fact.value;
  return json;
}

Json json_of(const Entered& one) {
  return {{"kind", one.kind}, {"name", one.name}, {"facts", json_of(one.facts)}};
}

Json json_of(const Ending& one) {
  Json json{{"loss", one.loss}, {"ended", one.ended}};
  put(json, "why", one.why);
  return json;
}

Json json_of(const Damage& one) {
  Json json{{"name", one.name}};
  put(json, "nature", one.nature);
  put(json, "place", one.place);
  put(json, "area_cm2", one.area_cm2);
  return json;
}

Json json_of(const Fill& f) {
  Json json{{"tissue", f.name},
            {"plies", f.plies},
            {"use", f.use},
            {"side", f.side},
            {"chosen", f.chosen}};
  put(json, "tone", f.tone);
  put(json, "loss", f.loss);
  put(json, "verdict", f.verdict);
  if (!f.entered.empty()) json["entered"] = json_of(f.entered);
  put(json, "read", f.measured);
  put(json, "read_de00", f.measured_de00);
  put(json, "read_interval95", f.measured_u95);
  put(json, "aim", f.aim);
  put(json, "refused_because", f.refused_because);
  put(json, "backing", f.over);
  put(json, "weight_g_m2", f.weight_g_m2);
  put(json, "sheet", f.sheet);
  put(json, "de00", f.de00);
  put(json, "u95_de00", f.u95_de00);
  put(json, "dL", f.dL);
  put(json, "da", f.da);
  put(json, "db", f.db);
  put(json, "worst_de00", f.worst_de00);
  put(json, "worst_light", f.worst_light);
  put(json, "overlap_de00", f.overlap_de00);
  put(json, "score", f.score);
  put(json, "nearest_probability", f.nearest_probability);
  put_lights(json, f.by_light);
  if (f.transmitted) {
    Json& t = json["transmitted"];
    t["known"] = f.transmitted->known;
    put(t, "why", f.transmitted->why);
    put(t, "light", f.transmitted->light);
    if (f.transmitted->lab) t["lab"] = array_of(*f.transmitted->lab);
    put(t, "de00", f.transmitted->de00);
    put(t, "dL", f.transmitted->dL);
  }
  put(json, "reasons", f.reasons);
  put(json, "cautions", f.cautions);
  return json;
}

Json loads_of(const std::vector<Load>& loads) {
  Json json = Json::object();
  for (const Load& load : loads) json[load.colorant] = load.load;
  return json;
}

Json json_of(const RecipeCard& card) {
  Json json{{"title", card.title},
            {"chosen", card.chosen},
            {"loads", loads_of(card.loads)},
            {"load_unit", card.load_unit}};
  put(json, "tone", card.tone);
  put(json, "loss", card.loss);
  put(json, "whole_drops", card.whole_drops);
  put(json, "whole_drops_de00", card.whole_drops_de00);
  put(json, "whole_drops_aim_de00", card.whole_drops_aim_de00);
  put(json, "tissue", card.tissue);
  put(json, "backing", card.over);
  put(json, "application", card.application);
  put(json, "method", card.method);
  put(json, "volume_ml", card.volume_ml);
  put(json, "area_cm2", card.area_cm2);
  put(json, "sheet", card.sheet);
  put(json, "aim", card.aim);
  put(json, "de00", card.de00);
  put(json, "aim_de00", card.aim_de00);
  put(json, "u95_de00", card.u95_de00);
  put(json, "worst_de00", card.worst_de00);
  put(json, "worst_light", card.worst_light);
  put(json, "one_drop_de00", card.one_drop_de00);
  put_lights(json, card.by_light);
  for (const Dispense& item : card.dispense) {
    Json one{{"stock", item.stock}};
    put(one, "ml", item.ml);
    put(one, "drops", item.drops);
    put(one, "of_volume_ml", item.of_volume_ml);
    json["dispense"].push_back(std::move(one));
  }
  for (const Coat& coat : card.coats) {
    Json one{{"n", coat.n}, {"loads", loads_of(coat.loads)}};
    put(one, "tone", coat.tone);
    put(one, "de00", coat.de00);
    put(one, "transmitted_dL", coat.transmitted_dL);
    json["coats"].push_back(std::move(one));
  }
  put(json, "notes", card.notes);
  put(json, "cautions", card.cautions);
  return json;
}

Json json_of(const Trial& t) {
  Json json{{"name", t.name}};
  put(json, "when", t.when);
  put(json, "predicted", t.predicted);
  put(json, "measured", t.measured);
  put(json, "de00_to_sheet", t.de00_to_sheet);
  put(json, "de00_to_aim", t.de00_to_aim);
  put(json, "de00_to_prediction", t.de00_to_prediction);
  for (const Learned& l : t.learned) {
    json["learned"][l.colorant]["strength"] = l.strength;
    put(json["learned"][l.colorant], "u95", l.u95);
  }
  put(json, "notes", t.notes);
  return json;
}

Json json_of(const Series& s) {
  Json json{{"spot", s.spot}, {"steps", s.steps}, {"light", s.light}, {"observer", s.observer_deg}};
  put(json, "tolerance", s.tolerance);
  put(json, "remark", s.remark);
  for (const SeriesPoint& p : s.points) {
    Json one{{"label", p.label}};
    put(one, "de00", p.de00);
    put(one, "low", p.low);
    put(one, "high", p.high);
    put(one, "minutes", p.minutes);
    put(one, "temperature_c", p.temperature_c);
    put(one, "ph", p.ph);
    put(one, "conductivity_us_cm", p.conductivity_us_cm);
    put(one, "note", p.note);
    json["points"].push_back(std::move(one));
  }
  return json;
}

Json json_of(const Spot& spot) {
  Json json{{"name", spot.name}};
  put(json, "place", spot.place);
  put(json, "picture", spot.picture);
  put(json, "outline", spot.outline.points);
  return json;
}

Json json_of(const Picture& p) {
  Json json{
      {"title", p.title}, {"kind", p.kind}, {"width_px", p.width_px}, {"height_px", p.height_px}};
  put(json, "caption", p.caption);
  put(json, "stage", p.stage);
  put(json, "lighting", p.lighting);
  put(json, "px_per_mm", p.px_per_mm);
  put(json, "origin", p.origin);
  return json;
}

template <class T>
void put_all(Json& to, const char* key, const std::vector<T>& all) {
  Json list = Json::array();
  for (const T& one : all) list.push_back(json_of(one));
  to[key] = std::move(list);
}

}  // namespace

std::string to_json(const ReportContent& content) {
  Json json{{"schema", "mendtone.report"}, {"version", 1}, {"title", content.title}};
  put(json, "object", content.object_id);
  put(json, "description", content.object_description);
  put(json, "laboratory", content.laboratory);
  put(json, "operator", content.operator_name);
  put(json, "first_day", content.first_day);
  put(json, "last_day", content.last_day);
  put(json, "date", content.date);
  put(json, "program", content.program_version);
  put(json, "record_head", content.record_head);
  put(json, "tables", content.table_versions);
  put(json, "data_notice", content.data_notice);
  put_all(json, "pictures", content.pictures);
  put_all(json, "spots", content.spots);
  put_all(json, "readings", content.readings);
  put_all(json, "differences", content.differences);
  put_all(json, "fills", content.fills);
  put_all(json, "recipes", content.recipes);
  put_all(json, "trials", content.trials);
  put_all(json, "series", content.series);
  put_all(json, "damages", content.damages);
  put_all(json, "endings", content.endings);
  put_all(json, "entered", content.entered);
  Json& notes = json["notes"] = Json::array();
  for (const Note& note : content.notes)
    notes.push_back({{"heading", note.heading}, {"text", note.text}});
  json["methods"] = methods_paragraph(content);
  json["cautions"] = all_cautions(content);
  json["not_known"] = not_known(content);
  json["warnings"] = all_warnings(content);
  json["sources"] = content.sources;
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace mendtone::report
