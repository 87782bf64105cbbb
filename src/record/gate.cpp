#include "mendtone/record/gate.hpp"

#include <algorithm>

#include "mendtone/base/plain_text.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/match/cautions.hpp"

namespace mendtone::record {
namespace {

bool starts_as(const std::string& text, std::string_view with) {
  return small_letters(text).rfind(with, 0) == 0;
}

std::string name_of_bath(const Kept<Bath>& bath) {
  if (!bath.value.name.empty()) return bath.value.name;
  return bath.value.number ? "bath " + std::to_string(*bath.value.number)
                           : "bath #" + std::to_string(bath.id);
}

/// The last bath, by its number where all have one, else as they were entered.
const Kept<Bath>* last_bath(const WholeSheet& sheet) {
  const Kept<Bath>* last = nullptr;
  for (const Kept<Bath>& bath : sheet.baths)
    if (last == nullptr || !last->value.number || !bath.value.number ||
        *bath.value.number > *last->value.number)
      last = &bath;
  return last;
}

/// Read after that bath: it says so itself, or was entered after it and does not say 'before'.
bool is_read_after(const Kept<KeptReading>& reading, const Kept<Bath>& bath) {
  if (reading.value.bath) return *reading.value.bath == bath.id;
  if (small_letters(reading.value.stage) == small_letters(name_of_bath(bath))) return true;
  if (starts_as(reading.value.stage, "before") || starts_as(reading.value.stage, "bath "))
    return false;
  if (starts_as(reading.value.stage, "after") || reading.value.taken.empty() ||
      bath.value.given.empty())
    return reading.entry.when >= bath.entry.when;
  return reading.value.taken >= bath.value.given;
}

class Gate {
 public:
  explicit Gate(const WholeSheet& sheet) : sheet_(sheet) {}

  std::vector<GateItem> all() {
    statements();
    for (const Kept<Loss>& loss : sheet_.losses)
      if (loss.value.ended.empty()) of_loss(loss);
    if (sheet_.losses.empty()) media(nullptr, "");
    settle();
    std::stable_sort(items_.begin(), items_.end(), [](const GateItem& a, const GateItem& b) {
      return order(a.standing) < order(b.standing);
    });
    return std::move(items_);
  }

 private:
  static int order(const std::string& standing) {
    constexpr const char* words[] = {"barred", "owed", "stale", "left open", "allowed", "done"};
    return static_cast<int>(std::find(std::begin(words), std::end(words), standing) -
                            std::begin(words));
  }

  /// Once for the sheet: what is said of two losses alike is said of the sheet.
  void add(const std::string& name, const char* standing, const std::string& why,
           const std::string& loss) {
    for (GateItem& known : items_)
      if (known.name == name) {
        if (known.loss != loss) known.loss.clear();
        return;
      }
    items_.push_back({name, standing, why, loss});
  }

  void statements() {
    const Sheet& sheet = sheet_.sheet.value;
    const bool near = std::any_of(sheet_.losses.begin(), sheet_.losses.end(),
                                  [](const auto& loss) { return !loss.value.media_near.empty(); });
    const auto state = [&](const std::string& text, const char* what) {
      if (text.empty())
        add(std::string("state the ") + what, "owed",
            std::string("the record does not say it; 'none' is an answer"), "");
    };
    state(near ? "stated" : sheet.media, "media");
    state(sheet.stamps, "stamps and inscriptions");
    state(sheet.sizing, "sizing");
  }

  const Fill* chosen_for(Id loss) const {
    const Fill* chosen = nullptr;
    for (const Kept<Fill>& fill : sheet_.fills)
      if (fill.value.loss == loss && fill.value.verdict == "chosen") chosen = &fill.value;
    return chosen;
  }

  CautionCase case_of(const Kept<Loss>* loss) const {
    const Sheet& sheet = sheet_.sheet.value;
    CautionCase about;
    about.acts = {"attach"};
    about.media = loss == nullptr ? sheet.media : joined({loss->value.media_near, sheet.media});
    about.stamps = sheet.stamps;
    about.sizing = sheet.sizing;
    about.use = loss != nullptr && loss->value.nature == "tear" ? Use::tear : Use::loss;
    const Fill* fill = loss == nullptr ? nullptr : chosen_for(loss->id);
    if (fill != nullptr) {
      about.adhesive = fill->adhesive;
      if (const auto use = use_from(fill->use)) about.use = *use;
    }
    for (const Kept<SpotTest>& test : sheet_.spot_tests)
      about.tested.push_back({test.value.tested, test.value.liquid, test.value.outcome});
    return about;
  }

  void media(const Kept<Loss>* loss, const std::string& name) {
    const CautionCase about = case_of(loss);
    for (const OwedTest& test : tests_owed(about)) add(test.name, "owed", test.why, name);
    for (const Caution& caution : cautions_for(about))
      if (caution.bars) add(caution.name, "barred", caution.words, name);
  }

  void of_loss(const Kept<Loss>& loss) {
    media(&loss, loss.value.name);
    readings_of(loss);
    fill_of(loss);
  }

  void readings_of(const Kept<Loss>& loss) {
    const Kept<Bath>* bath = last_bath(sheet_);
    if (bath == nullptr) return;
    bool any = false, after = false;
    for (const Kept<KeptReading>& reading : sheet_.readings) {
      if (reading.value.loss != loss.id) continue;
      any = true;
      after = after || is_read_after(reading, *bath);
    }
    if (any && !after)
      add("reading after " + name_of_bath(*bath), "owed",
          "washed since it was read: let it dry and condition, and read it again before toning",
          loss.value.name);
    for (const Kept<Computation>& computed : sheet_.computations)
      if (computed.value.loss == loss.id && computed.entry.when < bath->entry.when &&
          (computed.value.verb == "tissue" || computed.value.verb == "wash" ||
           computed.value.verb == "correct"))
        add((computed.value.name.empty() ? "result #" + std::to_string(computed.id)
                                         : computed.value.name),
            "stale", "it was computed before " + name_of_bath(*bath) + ": compute it again",
            loss.value.name);
  }

  void fill_of(const Kept<Loss>& loss) {
    const Fill* fill = chosen_for(loss.id);
    if (fill == nullptr) return;
    if (fill->recipe) {
      const bool tried =
          std::any_of(sheet_.trials.begin(), sheet_.trials.end(), [&](const Kept<Trial>& trial) {
            return trial.value.recipe == *fill->recipe &&
                   std::any_of(
                       sheet_.trial_readings.begin(), sheet_.trial_readings.end(),
                       [&](const auto& reading) { return reading.value.trial == trial.id; });
          });
      if (!tried)
        add("dry trial of " + fill->name, "owed", "its wash was never tried and read dry",
            loss.value.name);
    }
    // 'no adhesive' is of no kind at all.
    const std::vector<Recognised> adhesives = recognised("adhesive", fill->adhesive);
    const bool pasted =
        !fill->adhesive.empty() && !adhesives.empty() && adhesives.front().kind != "held dry";
    const bool offcut =
        std::any_of(sheet_.offcuts.begin(), sheet_.offcuts.end(), [&](const Kept<Offcut>& one) {
          return fill->tissue == one.value.tissue &&
                 small_letters(one.value.adhesive) == small_letters(fill->adhesive);
        });
    if (pasted && !offcut)
      add("pasted offcut of " + fill->name, "owed",
          "paste one offcut with " + fill->adhesive +
              " on spare paper like the sheet, dry and press it, and read it",
          loss.value.name);
  }

  /// What she settled, and what she entered besides.
  void settle() {
    for (const Kept<Step>& kept : sheet_.steps) {
      const Step& step = kept.value;
      std::string loss;
      for (const Kept<Loss>& one : sheet_.losses)
        if (step.loss == one.id) loss = one.value.name;
      const auto found = std::find_if(items_.begin(), items_.end(), [&](const GateItem& item) {
        return small_letters(item.name) == small_letters(step.name) &&
               (loss.empty() || item.loss.empty() || item.loss == loss);
      });
      if (found == items_.end()) {
        items_.push_back({step.name, step.standing, step.reason, loss});
      } else {
        found->standing = step.standing;
        if (!step.reason.empty()) found->why = step.reason;
      }
    }
  }

  const WholeSheet& sheet_;
  std::vector<GateItem> items_;
};

}  // namespace

std::vector<GateItem> gate_of(const WholeSheet& sheet) {
  return Gate(sheet).all();
}

std::string text_of(const GateItem& item) {
  std::string standing = item.standing;
  if (!standing.empty() && standing[0] >= 'a' && standing[0] <= 'z')
    standing[0] = static_cast<char>(standing[0] - 'a' + 'A');
  return standing + ": " + item.name + (item.loss.empty() ? "" : " (" + item.loss + ")") +
         (item.why.empty() ? "" : ": " + item.why);
}

bool is_shut(const std::vector<GateItem>& gate) {
  return std::any_of(gate.begin(), gate.end(), [](const GateItem& item) {
    return item.standing == "owed" || item.standing == "barred" || item.standing == "stale";
  });
}

}  // namespace mendtone::record
