import { useState } from 'preact/hooks';
import { api } from './api';
import { KindForm } from './form';
import { realPhotographs, useMarks } from './marks';
import { Photo } from './photo';
import { PaperChip, usePaperTones, useSpotTones } from './paper';
import { NextCard, nextOfSheet, StandingMark, standingOf } from './standing';
import type { Thing } from './types';
import { complain, go, hrefOf, loadRecord, loadSheet, nameOf, say, sheetThings, textOf, useBench, useDraft, wordsOf } from './state';
import { Card, Choice, Field, Fold, labWords, signer, useToldHere } from './ui';

export function FilePick(props: {
  label: string;
  accept?: string;
  several?: boolean;
  onFiles: (files: File[]) => void;
  busy?: boolean;
}) {
  const [over, setOver] = useState(false);
  const here = useToldHere();
  const give = (files: File[]) => {
    here.press();
    props.onFiles(files);
  };
  return (
    <>
    <label
      class={`drop${over ? ' over' : ''}`}
      onDragOver={(e) => (e.preventDefault(), setOver(true))}
      onDragLeave={() => setOver(false)}
      onDrop={(e) => {
        e.preventDefault();
        setOver(false);
        give([...(e.dataTransfer?.files ?? [])]);
      }}
    >
      <span class="drop-words">{props.busy ? 'Being brought in …' : props.label}</span>
      <span class="quietly">Drop it here, or tap to choose</span>
      <input
        type="file"
        accept={props.accept}
        multiple={props.several}
        disabled={props.busy}
        onChange={(e) => {
          const files = [...(e.currentTarget.files ?? [])];
          e.currentTarget.value = '';
          if (files.length) give(files);
        }}
      />
    </label>
    {here.told}
    </>
  );
}

function NewPhotograph({ sheet }: { sheet: string }) {
  const [said, setSaid, clear] = useDraft(`photograph.${sheet}`, { stage: 'before', note: '' });
  const [busy, setBusy] = useState(false);
  const bring = async ([file]: File[]) => {
    const by = signer();
    if (!file || !by) return;
    setBusy(true);
    try {
      const kept = await api.putPhotograph(file, { name: file.name, sheet, stage: said.stage, note: said.note, by });
      clear();
      await Promise.all([loadRecord(), loadSheet(sheet)]);
      say(`Kept: photograph ${file.name}, ${kept.width} × ${kept.height} pixels`);
    } catch (error) {
      // The program's own words name an option of the command line, which she does not have here.
      const noProfile = /--profile/.test(wordsOf(error));
      complain(
        noProfile
          ? new Error(
              `${file.name} does not say its colour space. Save it again with its colour profile, in the software of the camera or scanner. You can go on without a photograph`,
            )
          : error,
      );
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      <div class="fields">
        <Choice
          label="Taken"
          value={said.stage}
          options={['before', 'during', 'after']}
          onChange={(stage) => setSaid((old) => ({ ...old, stage }))}
        />
        <Field label="Note" value={said.note} onInput={(note) => setSaid((old) => ({ ...old, note }))} />
      </div>
      <FilePick label="Bring a photograph" accept="image/*,.tif,.tiff" onFiles={bring} busy={busy} />
      <p class="help">
        With its colour profile it can be measured. Without one it is shown, and not measured.
        The file is copied beside the record as it is.
      </p>
    </>
  );
}

const partOf = (view: string, thing: Thing, sheet: string) => hrefOf({ sheet, view, part: nameOf(thing) });

/// Every loss and tear with where it stands.
function LossList({ sheet }: { sheet: string }) {
  const losses = sheetThings(sheet, 'loss');
  const tones = usePaperTones(sheet);
  return (
    <Card title="Losses and tears">
      {losses.length > 0 && (
        <ul class="plain standings">
          {losses.map((loss) => {
            const tone = tones[nameOf(loss)];
            return (
              <li>
                <a class="line" href={partOf('loss', loss, sheet)}>
                  <StandingMark of={standingOf(sheet, loss)} />
                  <span class="standing-name">
                    <strong>{nameOf(loss)}</strong>{' '}
                    <span class="quietly">
                      {textOf(loss, 'nature')}
                      {textOf(loss, 'area_cm2') && `, ${textOf(loss, 'area_cm2')} cm²`}
                    </span>
                  </span>
                  {tone ? <PaperChip lab={tone.lab} light={tone.light} words={`its paper, ${labWords(tone.lab)}`} /> : <span />}
                  <span class="standing-words">{standingOf(sheet, loss)}</span>
                </a>
              </li>
            );
          })}
        </ul>
      )}
      <a class="act quiet" href={hrefOf({ sheet, view: 'loss' })}>
        Enter {losses.length ? 'another' : 'a'} loss or tear
      </a>
    </Card>
  );
}

/// The sheet itself: the one next step, its photograph with everything marked on it, where each loss stands.
export function SheetView({ sheet }: { sheet: string }) {
  useBench();
  const [editing, setEditing] = useState(false);
  const photographs = realPhotographs(sheet);
  const [shown, setShown] = useState(0);
  const id = shown || photographs[0]?.id || 0;
  const marks = useMarks(sheet, id);
  const thing = sheetThings(sheet, 'sheet')[0];
  const spots = sheetThings(sheet, 'spot');
  const spotTones = useSpotTones(sheet);
  const facts = ['object_id', 'description', 'support', 'media'].map((c) => thing && textOf(thing, c)).filter(Boolean);
  const weight = thing && textOf(thing, 'grammage_g_m2');
  return (
    <>
      {(facts.length > 0 || weight) && (
        <p class="lead">{[...facts, weight && `${weight} g/m²`].filter(Boolean).join('; ')}</p>
      )}
      <NextCard next={nextOfSheet(sheet)} />
      {photographs.length > 0 && (
        <Card class="flush">
          {photographs.length > 1 && (
            <div class="acts">
              {photographs.map((photograph) => (
                <button
                  type="button"
                  class="act quiet"
                  aria-pressed={photograph.id === id}
                  onClick={() => setShown(photograph.id)}
                >
                  {nameOf(photograph)} {textOf(photograph, 'stage') && `(${textOf(photograph, 'stage')})`}
                </button>
              ))}
            </div>
          )}
          <Photo id={id} marks={marks} label={`Photograph of ${sheet} with its spots, losses and tears`} />
        </Card>
      )}
      <div class="two">
        <LossList sheet={sheet} />
        <Card title="Spots">
          {spots.length > 0 && (
            <ul class="plain">
              {spots.map((spot) => (
                <li>
                  <a class="line" href={partOf('spot', spot, sheet)}>
                    {spotTones[nameOf(spot)] && (
                      <PaperChip
                        lab={spotTones[nameOf(spot)].lab}
                        light={spotTones[nameOf(spot)].light}
                        words={`its colour, ${labWords(spotTones[nameOf(spot)].lab)}`}
                      />
                    )}
                    <strong>{nameOf(spot)}</strong> {textOf(spot, 'place')}
                  </a>
                </li>
              ))}
            </ul>
          )}
          <p class="quietly">A spot is read again and again: before, between baths, after.</p>
          <a class="act quiet" href={hrefOf({ sheet, view: 'spot' })}>
            Enter {spots.length ? 'another' : 'a'} spot
          </a>
        </Card>
      </div>
      <Card title={photographs.length ? 'Another photograph' : 'Its photograph'}>
        <NewPhotograph sheet={sheet} />
      </Card>
      {thing && (
        <Fold title="Correct what is said of this sheet" open={editing}>
          <KindForm
            kind="sheet"
            first={['name', 'object_id', 'description', 'support', 'media', 'grammage_g_m2']}
            button="Keep the correction"
            draft={`correct.sheet.${thing.id}`}
            thing={thing}
            sheet={sheet}
            onKept={(name) => {
              setEditing(false);
              if (name && name !== sheet) go({ sheet: name, view: 'sheet' });
            }}
          />
        </Fold>
      )}
    </>
  );
}
