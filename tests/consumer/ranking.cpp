// A ranking in memory, as another program would make it: no file, no record, no picture. Its
// readings are invented. tests/structure/consumer.sh looks at the libraries that it starts with.
#include <cmath>
#include <cstdio>
#include <mendtone/app/tissue/tissue.hpp>
#include <mendtone/optics/layer.hpp>

namespace {

const mendtone::WavelengthGrid grid = mendtone::WavelengthGrid::equal_steps(400, 10, 31);

mendtone::Reading reading(const char* name, mendtone::Role role, std::vector<double> values) {
  mendtone::Reading made;
  made.name = name;
  made.role = role;
  made.state = mendtone::State::dry;
  made.spectrum = mendtone::Spectrum{grid, std::move(values)};
  return made;
}

/// An invented sheet, yellow with age, over something grey.
std::vector<double> over_grey(double absorbs, double scatters, double grey) {
  std::vector<double> R;
  for (double nm : grid.nm()) {
    const double K = absorbs * std::exp(-(nm - 400) / 80);
    R.push_back(mendtone::over(mendtone::layer(K, scatters), grey));
  }
  return R;
}

void add_sheet(std::vector<mendtone::Reading>& rows, const char* name, mendtone::Role role,
               double absorbs, double scatters) {
  for (const auto& [backing, grey] : {std::pair{"black", 0.04}, std::pair{"white", 0.89}}) {
    rows.push_back(reading(name, role, over_grey(absorbs, scatters, grey)));
    rows.back().backing = backing;
    rows.back().plies = 1;
  }
}

mendtone::Result<mendtone::app::TissueAnswer> ranked(mendtone::app::TissueMaterial material) {
  const auto bench = MENDTONE_TRY(mendtone::app::TissueBench::prepare(std::move(material)));
  return bench.rank({});
}

}  // namespace

int main() {
  using mendtone::Role;
  mendtone::app::TissueMaterial material;
  for (const auto& [name, grey] : {std::pair{"black", 0.04}, std::pair{"white", 0.89}})
    material.tissues.push_back(
        reading(name, Role::backing, std::vector<double>(grid.size(), grey)));
  add_sheet(material.tissues, "kozo", Role::tissue, 0.05, 0.6);
  add_sheet(material.tissues, "gampi", Role::tissue, 0.5, 0.3);
  material.target = material.tissues;
  add_sheet(material.target, "chart", Role::target, 0.3, 2.5);
  material.over = "white";
  const auto answer = ranked(std::move(material));
  if (!answer) {
    std::fprintf(stderr, "%s\n", answer.error().text().c_str());
    return 1;
  }
  for (const auto& one : answer->candidates)
    std::printf("%s, %d: %.2f\n", one.tissue.c_str(), one.plies, one.de00);
  return answer->candidates.size() == 8 ? 0 : 1;
}
